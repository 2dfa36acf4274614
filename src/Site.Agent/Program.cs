using TeleHearing.Site.Agent.Hosting;

return await CommandMistakes.InvokeAsync(AgentCommands.Root().Parse(args), CancellationToken.None);
