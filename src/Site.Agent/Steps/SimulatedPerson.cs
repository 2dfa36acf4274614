using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Names the side the virtual listener heard, as soon as an answer is awaited: nobody in front of a simulated kit can hear which side it was. An answer from the screen that came first stands.</summary>
internal sealed class SimulatedPerson(SideAnswers sides, Func<Ear?> lastHeardSide) : IHostedService
{
    /// <inheritdoc />
    public Task StartAsync(CancellationToken cancellationToken)
    {
        sides.Asked += Answer;
        return Task.CompletedTask;
    }

    /// <inheritdoc />
    public Task StopAsync(CancellationToken cancellationToken)
    {
        sides.Asked -= Answer;
        return Task.CompletedTask;
    }

    private void Answer() => sides.Answer(lastHeardSide());
}
