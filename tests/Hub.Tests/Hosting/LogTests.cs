using System.Collections.Concurrent;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Hosting;

public sealed class LogTests
{
    [Fact]
    public async Task NoLogLineNamesAnyoneOrCarriesASecret()
    {
        var lines = new Lines();
        string[] secrets;
        await using (var hub = await RunningHub.Start(configure: services => services.AddSingleton<ILoggerProvider>(lines)))
        {
            var clinician = await hub.Person("Maren Toft", Roles.Clinician);
            await using var kit = await hub.Kit();
            var session = await hub.Session(clinician);
            await using var console = await hub.Console(clinician);
            await console.Watch(session);
            await console.Ask(new TakeControl());
            await kit.Connect();
            await Walk.ToTesting(console, kit);
            await console.Must(new AddNote("The person is called Ottilie."));
            await kit.Report(session, new TrialDone(StepId.New(), Samples.Trial()));
            await kit.Disconnect();
            await console.Until(view => view.Stage == SessionStage.LinkLost);
            secrets = [(await kit.Token()).Split('.')[0], kit.Assertion().Split('.')[0], kit.Proof("GET", hub.Address, "token").Split('.')[0]];
        }

        Assert.Contains(lines.All, line => line.Contains("kit-01", StringComparison.Ordinal));
        string[] names = ["Brandvold", "Ottilie", "Maren", "Toft", "Mill Lane", "555 0101", "1951", "access_token", "/sign-in/", "/set-up/"];
        Assert.All(lines.All, line => Assert.All(names.Concat(secrets), name => Assert.DoesNotContain(name, line, StringComparison.OrdinalIgnoreCase)));
    }

    [Fact]
    public async Task ANameHasOneLoggerAndNobodyElseDecidesWhatIsLogged()
    {
        await using var hub = await RunningHub.Start(configure: services => services.Configure<LoggerFilterOptions>(options => options.AddFilter("Microsoft.AspNetCore.Hosting", LogLevel.Trace)));
        var loggers = hub.Get<ILoggerFactory>();

        Assert.Same(loggers.CreateLogger("TeleHearing.Hub"), loggers.CreateLogger("TeleHearing.Hub"));
        Assert.True(loggers.CreateLogger("TeleHearing.Hub").IsEnabled(LogLevel.Information));
        var requests = loggers.CreateLogger("Microsoft.AspNetCore.Hosting.Diagnostics");
        Assert.Equal((false, true), (requests.IsEnabled(LogLevel.Information), requests.IsEnabled(LogLevel.Warning)));
    }

    private sealed class Lines : ILoggerProvider, ILogger
    {
        public ConcurrentBag<string> All { get; } = [];

        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            All.Add(formatter(state, exception) + exception);

        public void Dispose()
        {
        }
    }
}
