using TeleHearing.Clinician.Web.Workbench.Hearing;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class HandKeysTests
{
    [Theory]
    [InlineData(" ", HandAction.Present)]
    [InlineData("ArrowUp", HandAction.Louder)]
    [InlineData("ArrowDown", HandAction.Softer)]
    [InlineData("ArrowLeft", HandAction.LowerFrequency)]
    [InlineData("ArrowRight", HandAction.HigherFrequency)]
    [InlineData("r", HandAction.RightEar)]
    [InlineData("L", HandAction.LeftEar)]
    [InlineData("1", HandAction.StepOf1)]
    [InlineData("2", HandAction.StepOf2)]
    [InlineData("5", HandAction.StepOf5)]
    [InlineData("h", HandAction.Hold)]
    [InlineData("Escape", HandAction.Cut)]
    [InlineData("?", HandAction.Help)]
    public void AKeyAsksForItsAction(string key, HandAction action) => Assert.Equal(action, HandKeys.Read(Press(key)));

    [Fact]
    public void NoKeyButTheCutDoesAnythingWhileTyping() =>
        Assert.All(HandKeys.All.Where(entry => entry.Action != HandAction.Cut), entry => Assert.Null(HandKeys.Read(Press(entry.Key) with { Typing = true })));

    [Fact]
    public void ShortcutsOfTheBrowserAreLeftAlone() =>
        Assert.All(HandKeys.All, entry => Assert.Null(HandKeys.Read(Press(entry.Key) with { Modified = true })));

    [Fact]
    public void SpaceOnAFocusedButtonBelongsToTheButton() =>
        Assert.Null(HandKeys.Read(Press(" ") with { OnControl = true }));

    [Fact]
    public void CutAndHoldWorkWhateverHasTheFocus()
    {
        Assert.Equal(HandAction.Cut, HandKeys.Read(Press("Escape") with { OnControl = true }));
        Assert.Equal(HandAction.Hold, HandKeys.Read(Press("h") with { OnControl = true }));
    }

    [Fact]
    public void AHeldKeyRunsTheLevelOnButNeverMakesASecondTone()
    {
        Assert.Equal(HandAction.Louder, HandKeys.Read(Press("ArrowUp") with { Repeated = true }));
        Assert.Null(HandKeys.Read(Press(" ") with { Repeated = true }));
        Assert.Null(HandKeys.Read(Press("a") with { Repeated = true }));
    }

    [Fact]
    public void OtherKeysAreLeftToTheBrowser()
    {
        Assert.Null(HandKeys.Read(Press("Tab")));
        Assert.Null(HandKeys.Read(Press("Enter")));
    }

    [Fact]
    public void EveryKeyAndEveryActionStandsInTheListOnce()
    {
        Assert.Equal(HandKeys.All.Count, HandKeys.All.Select(entry => entry.Key).Distinct().Count());
        Assert.Equal(Enum.GetValues<HandAction>().Order(), HandKeys.All.Select(entry => entry.Action).Order());
    }

    private static KeyPress Press(string key) => new(key, Typing: false, OnControl: false, Modified: false, Repeated: false);
}
