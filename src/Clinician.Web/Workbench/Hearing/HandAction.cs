namespace TeleHearing.Clinician.Web.Workbench.Hearing;

/// <summary>What a key can ask for.</summary>
public enum HandAction
{
    Louder,
    Softer,
    HigherFrequency,
    LowerFrequency,
    RightEar,
    LeftEar,
    StepOf1,
    StepOf2,
    StepOf5,
    SwitchShape,
    SwitchRoute,
    MaskerOnOff,
    MaskerLouder,
    MaskerSofter,
    Present,
    Repeat,
    SearchHere,
    FollowAdvice,
    SwitchPanel,
    Hold,
    Cut,
    Help,
}
