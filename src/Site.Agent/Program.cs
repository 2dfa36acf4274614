using TeleHearing.Site.Agent.Hosting;

return await AgentCommands.Root().Parse(args).InvokeAsync();
