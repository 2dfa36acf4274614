using TeleHearing.Hub.Hosting;

var configuration = new ConfigurationBuilder().AddCommandLine(args).Build();
await using var app = HubHost.Build(new HubSettings
{
    DataFolder = configuration["data"] ?? "hub-data",
    Urls = configuration["urls"] ?? "http://127.0.0.1:5080",
});
await app.RunAsync();
