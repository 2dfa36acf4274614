namespace TeleHearing.Clinician.Web.Kits.Scan;

/// <summary>What a browser's refusal of the camera means for the person, with what to do (names: W3C Media Capture and Streams, getUserMedia).</summary>
public static class CameraWords
{
    /// <summary>Words for the name of a fault.</summary>
    public static string Of(string fault) => fault switch
    {
        "NotAllowedError" or "SecurityError" => "The browser does not let this page use the camera. Allow it beside the address, or type the text on the label.",
        "NotFoundError" or "OverconstrainedError" => "No camera was found. Type the text on the label.",
        "NotReadableError" or "AbortError" => "The camera does not start; another program may be using it. Close that program, or type the text on the label.",
        "insecure" => "Browsers give the camera only to pages reached by https, or on this computer itself. Type the text on the label.",
        _ => "The camera cannot be used here. Type the text on the label.",
    };
}
