using TeleHearing.Hub.Cli;

return await CommandLine.Run(args, TimeProvider.System);
