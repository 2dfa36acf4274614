namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What can happen to a kit on its way, as its machine is asked.</summary>
internal enum KitTrigger
{
    /// <summary>Goes into service.</summary>
    Commission,

    /// <summary>Is clean, complete and checked.</summary>
    Release,

    /// <summary>Is promised to a loan.</summary>
    Reserve,

    /// <summary>The loan it is packed for is called off.</summary>
    CallOffPacked,

    /// <summary>A loan that has not begun is called off.</summary>
    CallOffPromised,

    /// <summary>Is counted and closed for a loan.</summary>
    Pack,

    /// <summary>Is taken out of its parcel again, for a person holds it.</summary>
    TakeOut,

    /// <summary>Waits for the carrier.</summary>
    Stage,

    /// <summary>Is handed to the carrier on its way out.</summary>
    SendOut,

    /// <summary>Is handed to the carrier on its way back.</summary>
    SendBack,

    /// <summary>The carrier says something that moves nothing.</summary>
    CarrierSays,

    /// <summary>The carrier says that it is delivered at the site.</summary>
    CarrierDelivers,

    /// <summary>Is opened and counted at the site.</summary>
    CheckIn,

    /// <summary>A session's kit check passed.</summary>
    TakeIntoUse,

    /// <summary>The session is over.</summary>
    SetDown,

    /// <summary>The session is over, and the case is packed for its way back.</summary>
    SetDownPacked,

    /// <summary>Is packed at the site for its way back.</summary>
    PackUp,

    /// <summary>Is back.</summary>
    Receive,

    /// <summary>Is put aside.</summary>
    Quarantine,

    /// <summary>Cleaning begins.</summary>
    BeginCleaning,

    /// <summary>Cleaning is signed.</summary>
    SignCleaning,

    /// <summary>The inspection is signed, and all was as it should be.</summary>
    SignInspection,

    /// <summary>The inspection found something.</summary>
    FailInspection,

    /// <summary>Filling up is signed.</summary>
    SignRestock,

    /// <summary>A function check passed.</summary>
    PassFunctionCheck,

    /// <summary>A function check failed.</summary>
    FailFunctionCheck,

    /// <summary>Needs repair.</summary>
    SendToRepair,

    /// <summary>The repair is done.</summary>
    FinishRepair,

    /// <summary>Goes to the laboratory by parcel.</summary>
    SendToLaboratory,

    /// <summary>Is handed to the laboratory in person.</summary>
    HandToLaboratory,

    /// <summary>Is back from the laboratory.</summary>
    TakeFromLaboratory,

    /// <summary>The carrier cannot say where it is.</summary>
    ReportMissing,

    /// <summary>Is given up.</summary>
    ReportLost,

    /// <summary>Was stolen.</summary>
    ReportStolen,

    /// <summary>Is there again.</summary>
    ReportFound,

    /// <summary>Goes out of service for good.</summary>
    Retire,

    /// <summary>What belongs in it is written down anew, or counted.</summary>
    Count,
}
