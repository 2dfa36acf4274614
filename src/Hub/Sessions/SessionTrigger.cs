using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions;

/// <summary>Everything that can be asked of a session, or happen to it.</summary>
internal enum SessionTrigger
{
    TakeControl,
    ReleaseControl,
    RequestControl,
    GrantControl,
    DeclineControl,
    TakeOverControl,
    OfferControl,
    AcceptControl,
    EndOffer,
    LendControl,
    GiveBackControl,
    TakeBackControl,
    AcknowledgeHandoff,
    ConfirmIdentity,
    AnswerConsent,
    AskConsentOnScreen,
    WithdrawConsent,
    DeclareRecording,
    RecordEarLook,
    AcceptRoom,
    AcceptSides,
    CheckKit,
    MeasureRoom,
    ProveSides,
    PresentTone,
    SearchThreshold,
    SearchEar,
    MeasurePart,
    WearGear,
    ChooseProtocol,
    ChangePlan,
    CutStep,
    Advance,
    StepBack,
    Hold,
    Resume,
    AddNote,
    SayOnScreen,
    RecordReview,
    RecordHandoff,
    Abort,
    Convert,
    StopPressed,
    LinkLost,
    LinkRestored,
    ControlLapsed,
}

/// <summary>Names of triggers on the wire.</summary>
internal static class SessionTriggers
{
    /// <summary>What a clinician can ask, in the order of the console.</summary>
    public static IReadOnlyList<SessionTrigger> Asked { get; } =
        [.. Enum.GetValues<SessionTrigger>().Where(trigger => trigger < SessionTrigger.StopPressed)];

    /// <summary>The discriminator of the command or step, e.g. "check-kit".</summary>
    public static string Name(SessionTrigger trigger) =>
        string.Concat(trigger.ToString().Select((letter, index) => char.IsUpper(letter) && index > 0 ? "-" + char.ToLowerInvariant(letter) : char.ToLowerInvariant(letter).ToString()));

    public static SessionTrigger Of(SessionCommand command) => command switch
    {
        TakeControl => SessionTrigger.TakeControl,
        ReleaseControl => SessionTrigger.ReleaseControl,
        RequestControl => SessionTrigger.RequestControl,
        GrantControl => SessionTrigger.GrantControl,
        DeclineControl => SessionTrigger.DeclineControl,
        TakeOverControl => SessionTrigger.TakeOverControl,
        OfferControl => SessionTrigger.OfferControl,
        AcceptControl => SessionTrigger.AcceptControl,
        EndOffer => SessionTrigger.EndOffer,
        LendControl => SessionTrigger.LendControl,
        GiveBackControl => SessionTrigger.GiveBackControl,
        TakeBackControl => SessionTrigger.TakeBackControl,
        AcknowledgeHandoff => SessionTrigger.AcknowledgeHandoff,
        ConfirmIdentity => SessionTrigger.ConfirmIdentity,
        AnswerConsent => SessionTrigger.AnswerConsent,
        AskConsentOnScreen => SessionTrigger.AskConsentOnScreen,
        DeclareRecording => SessionTrigger.DeclareRecording,
        WithdrawConsent => SessionTrigger.WithdrawConsent,
        RecordEarLook => SessionTrigger.RecordEarLook,
        AcceptRoom => SessionTrigger.AcceptRoom,
        AcceptSides => SessionTrigger.AcceptSides,
        OrderStep order => Of(order.Request),
        ChooseProtocol => SessionTrigger.ChooseProtocol,
        ChangePlan => SessionTrigger.ChangePlan,
        CutStep => SessionTrigger.CutStep,
        Advance => SessionTrigger.Advance,
        StepBack => SessionTrigger.StepBack,
        Hold => SessionTrigger.Hold,
        Resume => SessionTrigger.Resume,
        AddNote => SessionTrigger.AddNote,
        SayOnScreen => SessionTrigger.SayOnScreen,
        RecordReview => SessionTrigger.RecordReview,
        RecordHandoff => SessionTrigger.RecordHandoff,
        Abort => SessionTrigger.Abort,
        ConvertSession => SessionTrigger.Convert,
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "A command without a trigger."),
    };

    private static SessionTrigger Of(StepRequest request) => request switch
    {
        CheckKitStep => SessionTrigger.CheckKit,
        MeasureRoomStep => SessionTrigger.MeasureRoom,
        ProveSidesStep => SessionTrigger.ProveSides,
        PresentToneStep => SessionTrigger.PresentTone,
        SearchThresholdStep => SessionTrigger.SearchThreshold,
        SearchEarStep => SessionTrigger.SearchEar,
        MeasurePartStep => SessionTrigger.MeasurePart,
        WearGearStep => SessionTrigger.WearGear,
        _ => throw new ArgumentOutOfRangeException(nameof(request), request.GetType().Name, "A step without a trigger."),
    };
}
