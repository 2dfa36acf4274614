using Microsoft.AspNetCore.Components;
using TeleHearing.Audiology;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Screen.Case;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>The one page of the kit screen. Draws what the program knows; holds nothing itself.</summary>
public sealed partial class KitPage : ComponentBase
{
    private ScreenView _view = ScreenView.Of(new KitScreenState().Now, stopPressed: false, running: null);
    private KitScreenState _state = null!;
    private StopSwitch _stop = null!;
    private CurrentStep _current = null!;
    private KitActions _actions = null!;
    private CaseDesk _desk = null!;
    private CaseShown _case;

    public void Dispose()
    {
        _state.Changed -= Refresh;
        _stop.Changed -= Refresh;
        _current.Changed -= Refresh;
        _desk.Changed -= Refresh;
        // a finger on the pad of a page that goes away must not stay on the button
        _actions.PadUp();
    }

    protected override void OnInitialized()
    {
        _state = Services.GetRequiredService<KitScreenState>();
        _stop = Services.GetRequiredService<StopSwitch>();
        _current = Services.GetRequiredService<CurrentStep>();
        _actions = Services.GetRequiredService<KitActions>();
        _desk = Services.GetRequiredService<CaseDesk>();
        _desk.Changed += Refresh;
        _state.Changed += Refresh;
        _stop.Changed += Refresh;
        _current.Changed += Refresh;
        (_view, _case) = (Compose(), Case());
    }

    private CaseShown Case() => CaseView.Of(_desk.Now, _state.Now, _stop.IsPressed);

    private ScreenView Compose() => ScreenView.Of(_state.Now, _stop.IsPressed, _current.Now?.Order.Request);

    // never waited for: the step loop and the audio loop raise these events
    private void Refresh() => _ = InvokeAsync(() =>
    {
        var (view, shown) = (Compose(), Case());
        if (view != _view || shown != _case)
        {
            (_view, _case) = (view, shown);
            StateHasChanged();
        }
    });

    private void MovePad(bool down)
    {
        if (down)
        {
            _actions.PadDown();
        }
        else
        {
            _actions.PadUp();
        }
    }

    private void NameSide(Ear? side) => _actions.NameSide(side);

    private void Answer(ConsentPressed pressed) => _actions.Answer(pressed.Question, pressed.Given);

    private void MarkDone() => _actions.MarkDone();

    private void CallForHelp() => _actions.CallForHelp();
}
