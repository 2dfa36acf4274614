using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation.Faults;

/// <summary>When something goes wrong.</summary>
internal abstract record Moment
{
    private Moment()
    {
    }

    /// <summary>At a time.</summary>
    public sealed record At(TimeSpan Time) : Moment
    {
        public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"at {Time.TotalSeconds:0.0} s");
    }

    /// <summary>As the message of this number, of those that are no mere sign of life, goes on its way.</summary>
    public sealed record Message(int Number) : Moment
    {
        public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"at message {Number}");
    }
}

/// <summary>One thing that goes wrong in a world, or that somebody does out of turn.</summary>
/// <param name="When">When.</param>
internal abstract record Fault(Moment When)
{
    /// <summary>How long it lasts at most; what comes after has nothing to do with it any more.</summary>
    public virtual TimeSpan Lasts => TimeSpan.Zero;

    /// <summary>Whether it concerns whoever works with this hub.</summary>
    public virtual bool IsOfTheHub => false;

    /// <summary>Does it.</summary>
    public abstract void Apply(World world);
}

/// <summary>All connections of the kit break; none can be made for a while.</summary>
internal sealed record LinkCut(Moment When, TimeSpan For) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override void Apply(World world) => world.KitWire.Cut(For);
}

/// <summary>Nothing comes through between kit and hub for a while, one way or both, and nobody is told.</summary>
internal sealed record LinkSilent(Moment When, TimeSpan For, bool Up, bool Down) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override void Apply(World world) => world.KitWire.Hold(For, Up, Down);
}

/// <summary>The way between kit and hub becomes slow and uneven for a while.</summary>
internal sealed record LinkSlow(Moment When, TimeSpan For, TimeSpan Delay, TimeSpan Jitter) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override void Apply(World world) => world.KitWire.Slow(For, Delay, Jitter);
}

/// <summary>Messages between kit and hub come twice, or in each other's place.</summary>
internal sealed record LinkConfused(Moment When, int Doubles, int Swaps) : Fault(When)
{
    /// <summary>So long at most until that many messages were confused.</summary>
    public override TimeSpan Lasts => TimeSpan.FromMinutes(1);

    public override void Apply(World world)
    {
        (world.KitWire.Doubles, world.KitWire.Swaps) = (Doubles, Swaps);
        world.Loop.After(Lasts, null, () => (world.KitWire.Doubles, world.KitWire.Swaps) = (0, 0));
    }
}

/// <summary>The clinician's console is cut off, or hears nothing, for a while.</summary>
internal sealed record ConsoleCut(Moment When, TimeSpan For, bool Silent) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override void Apply(World world)
    {
        if (Silent)
        {
            world.ConsoleWire.Hold(For, up: true, down: true);
        }
        else
        {
            world.ConsoleWire.Cut(For);
        }
    }
}

/// <summary>The hub's program is killed between two of its awaits, and started again after a while.</summary>
internal sealed record HubDies(Moment When, int AfterAwaits, TimeSpan Away) : Fault(When)
{
    public override TimeSpan Lasts => Away;

    public override bool IsOfTheHub => true;

    public override void Apply(World world) => world.KillHub(AfterAwaits, Away);
}

/// <summary>The hub's program is killed as a commit has become durable, before anybody is told of it.</summary>
internal sealed record HubDiesCommitting(Moment When, int AfterCommits, TimeSpan Away) : Fault(When)
{
    public override TimeSpan Lasts => Away + TimeSpan.FromMinutes(1);

    public override bool IsOfTheHub => true;

    public override void Apply(World world) => world.KillHubCommitting(AfterCommits, Away);
}

/// <summary>The kit's program is killed between two of its awaits, and started again after a while.</summary>
internal sealed record KitDies(Moment When, int AfterAwaits, TimeSpan Away) : Fault(When)
{
    public override TimeSpan Lasts => Away;

    public override void Apply(World world) => world.KillKit(AfterAwaits, Away);
}

/// <summary>The kit loses its power in the middle of one of its next writes.</summary>
internal sealed record KitDiesWriting(Moment When, int AfterWrites, TimeSpan Away) : Fault(When)
{
    public override TimeSpan Lasts => Away + TimeSpan.FromMinutes(1);

    public override void Apply(World world) => world.KillKitWriting(AfterWrites, Away);
}

/// <summary>The kit's disk takes nothing for a while.</summary>
internal sealed record KitDiskFull(Moment When, TimeSpan For) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override void Apply(World world) => world.FillKitDisk(For);
}

/// <summary>The hub's disk fails for a while.</summary>
internal sealed record HubDiskFails(Moment When, TimeSpan For) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override bool IsOfTheHub => true;

    public override void Apply(World world) => world.FailHubDisk(For);
}

/// <summary>A machine is held up as a whole for a while.</summary>
internal sealed record Freeze(Moment When, bool Hub, TimeSpan For) : Fault(When)
{
    public override TimeSpan Lasts => For;

    public override bool IsOfTheHub => Hub;

    public override void Apply(World world) => (Hub ? world.HubNow?.Machine : world.KitNow?.Machine)?.Freeze(For);
}

/// <summary>A machine's wall clock is set otherwise.</summary>
internal sealed record ClockJumps(Moment When, bool Hub, TimeSpan By) : Fault(When)
{
    public override bool IsOfTheHub => Hub;

    public override void Apply(World world) => (Hub ? world.HubNow?.Machine : world.KitNow?.Machine)?.Clock.Jump(By);
}

/// <summary>Somebody at the site presses stop.</summary>
internal sealed record StopPressedAtSite(Moment When) : Fault(When)
{
    public override void Apply(World world) => world.PressStop();
}

/// <summary>The person takes consent back at the kit.</summary>
internal sealed record ConsentTakenBackAtSite(Moment When) : Fault(When)
{
    public override void Apply(World world) => world.TakeConsentBack();
}

/// <summary>A colleague takes control over; the clinician takes it back after a while, and then asks something in a tab that still shows the time before.</summary>
internal sealed record TakenOver(Moment When, TimeSpan For) : Fault(When)
{
    private static readonly TimeSpan _later = TimeSpan.FromSeconds(15);

    public override TimeSpan Lasts => For + _later;

    public override void Apply(World world)
    {
        var before = world.FirstConsole.View;
        world.SecondConsole().Wish(new TakeOverControl("To help with the session."));
        world.Loop.After(For, null, () => world.FirstConsole.Wish(new TakeOverControl("The help is not needed any more.")));
        world.Loop.After(For + _later, null, () => world.FirstConsole.Wish(new Hold("A pause was asked for before."), before));
    }
}

/// <summary>The clinician holds the session.</summary>
internal sealed record ClinicianHolds(Moment When) : Fault(When)
{
    public override void Apply(World world) => world.FirstConsole.Wish(new Hold("A pause was asked for."));
}

/// <summary>The clinician cuts the next step that makes sound, so long into it.</summary>
internal sealed record ClinicianCuts(Moment When, TimeSpan Into) : Fault(When)
{
    private static readonly TimeSpan _look = TimeSpan.FromSeconds(0.5);

    public override TimeSpan Lasts => Into;

    public override void Apply(World world)
    {
        var console = world.FirstConsole;
        if (console.View?.Step is { Ending: null, Started: true, Request.MakesSound: true, StepId: var step })
        {
            world.Loop.After(Into, null, () => console.Wish(new CutStep(step)));
        }
        else if (!World.IsOver(console))
        {
            world.Loop.After(_look, null, () => Apply(world));
        }
    }
}

/// <summary>The person takes consent back, and the clinician enters it at the console.</summary>
internal sealed record ConsentTakenBackAtConsole(Moment When) : Fault(When)
{
    public override void Apply(World world) => world.FirstConsole.Wish(new WithdrawConsent("They would rather not go on just now."));
}

/// <summary>The clinician ends the session early.</summary>
internal sealed record ClinicianEndsEarly(Moment When) : Fault(When)
{
    public override void Apply(World world) => world.FirstConsole.Wish(new Abort("The person is called away."));
}
