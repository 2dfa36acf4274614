using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>Commands and reports wait for each other when there are many; silence waits for none of them, and none waits for ever.</summary>
public sealed class WorkPlacesTests
{
    private readonly FakeTimeProvider _time = new();

    [Fact]
    public async Task WhoFindsNoPlaceWaitsForTheFirstThatIsFree()
    {
        using var places = new WorkPlaces(_time);
        var others = Fill(places);
        var begun = new TaskCompletionSource();

        var work = places.Within(() => Began(begun)).AsTask();

        Assert.False(begun.Task.IsCompleted);
        others[1].SetResult();
        Assert.True(await work.WaitAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task WhoWaitedLongGoesOnWithoutAPlaceAndTakesNoneFromOthers()
    {
        using var places = new WorkPlaces(_time);
        var others = Fill(places);
        var (begun, next) = (new TaskCompletionSource(), new TaskCompletionSource());
        var work = places.Within(() => Began(begun)).AsTask();

        _time.Advance(WorkPlaces.Longest);

        Assert.True(await work.WaitAsync(TestContext.Current.CancellationToken));
        var later = places.Within(() => Began(next)).AsTask();
        Assert.False(next.Task.IsCompleted);
        others[0].SetResult();
        Assert.True(await later.WaitAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task SilenceWaitsForNoPlace()
    {
        using var places = new WorkPlaces(_time);
        await using var session = await SessionAtTesting.Start(services => services.AddSingleton(places));
        var order = await session.Console.Must(new OrderStep(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), LoudConfirmed: false));
        var others = Fill(places);

        var note = session.Console.Ask(new AddNote("a note"));
        var cut = await session.Console.Ask(new CutStep(order.StepId!.Value));

        Assert.Null(cut.Refusal);
        Assert.False(note.IsCompleted);
        others[0].SetResult();
        Assert.Null((await note).Refusal);
        Array.ForEach(others[1..], other => other.SetResult());
    }

    /// <summary>Takes every place, each until it is told.</summary>
    private static TaskCompletionSource[] Fill(WorkPlaces places)
    {
        var others = Enumerable.Range(0, WorkPlaces.Count).Select(_ => new TaskCompletionSource()).ToArray();
        foreach (var other in others)
        {
            _ = places.Within(async () =>
            {
                await other.Task;
                return true;
            }).AsTask();
        }

        return others;
    }

    private static ValueTask<bool> Began(TaskCompletionSource begun)
    {
        begun.SetResult();
        return ValueTask.FromResult(true);
    }
}
