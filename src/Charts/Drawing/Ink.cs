namespace TeleHearing.Charts;

/// <summary>Colours of every chart. Charts are dark on light whatever the page around them; each colour reaches 4.5:1 on white where it carries text or a mark (WCAG 2.2, 1.4.3).</summary>
internal static class Ink
{
    public const string Paper = "#ffffff";
    public const string Text = "#1d2a33";
    public const string Quiet = "#52616b";
    public const string Frame = "#3c4a54";
    public const string Grid = "#c3ccd2";
    public const string GridStrong = "#93a1aa";
    public const string Right = "#b3122a";
    public const string Left = "#0b4fa0";
    public const string Hidden = "#ebe5d8";
    public const string HiddenEdge = "#7d6a3f";
    public const string Bar = "#5f8a8b";
    public const string BarOver = "#7a3b00";
    public const string Limit = "#1d2a33";
    public const string Plateau = "#e3f1e7";
    public const string PlateauBar = "#bfe0c9";
    public const string PlateauEdge = "#1f5c3d";
    public const string UnderMasked = "#f6f1e5";
    public const string OverMasked = "#f7e6dc";
    public const string Cursor = "#2f6b4f";

    public const string Font = "system-ui, 'Segoe UI', 'Helvetica Neue', Arial, sans-serif";

    public static string Of(TeleHearing.Audiology.Ear ear) => ear == TeleHearing.Audiology.Ear.Right ? Right : Left;
}
