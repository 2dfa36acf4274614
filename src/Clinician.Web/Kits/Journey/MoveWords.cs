namespace TeleHearing.Clinician.Web.Kits.Journey;

/// <summary>Moves of a kit's way as a coordinator says them.</summary>
public static class MoveWords
{
    private static readonly Dictionary<string, string> _names = new()
    {
        ["commission-kit"] = "Put it into service",
        ["release-kit"] = "Release it",
        ["reserve-kit"] = "Promise it to a loan",
        ["call-off-loan"] = "Call a loan off",
        ["extend-loan"] = "Extend a loan",
        ["sign-loan-paper"] = "Record that the loan paper is signed",
        ["withdraw-loan-consent"] = "Record that consent to the loan is taken back",
        ["take-reminder-step"] = "Record a reminder",
        ["pack-kit"] = "Pack it",
        ["stage-kit"] = "Close and label the parcel",
        ["send-kit"] = "Hand it to the carrier",
        ["record-carrier"] = "Enter what the carrier says",
        ["check-in-kit"] = "Check it in at the site",
        ["pack-up-kit"] = "Pack it up at the site",
        ["receive-kit"] = "Receive it",
        ["quarantine-kit"] = "Put it aside",
        ["begin-cleaning"] = "Begin cleaning",
        ["sign-turnaround"] = "Sign a step of the turnaround",
        ["sign-cleaning"] = "Sign that it is clean for the next person",
        ["send-to-repair"] = "Send it to repair",
        ["finish-repair"] = "Finish the repair",
        ["send-to-laboratory"] = "Send it to the laboratory",
        ["take-from-laboratory"] = "Take it back from the laboratory",
        ["report-parcel-missing"] = "Report the parcel missing",
        ["report-kit-gone"] = "Report it lost or stolen",
        ["report-kit-found"] = "Report it found",
        ["retire-kit"] = "Take it out of service",
        ["place-hold"] = "Place a hold",
        ["lift-hold"] = "Lift a hold",
        ["count-kit"] = "Count the contents",
    };

    /// <summary>Whether a move belongs to the kit's way; the others have panels of their own.</summary>
    public static bool IsJourney(string move) => _names.ContainsKey(move);

    /// <summary>A move.</summary>
    public static string Name(string move) => _names.GetValueOrDefault(move, move);
}
