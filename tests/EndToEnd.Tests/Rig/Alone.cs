namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>What is run with nothing beside it: tests of how long something takes on a kit in real time, and those that take every processor by themselves.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class Alone
{
    public const string Name = "Alone";
}
