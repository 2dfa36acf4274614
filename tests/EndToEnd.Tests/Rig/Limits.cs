namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>How long tests wait before they report a hang. Not a claim about speed: a busy machine may be many times slower than an idle one.</summary>
internal static class Limits
{
    public static readonly TimeSpan Start = TimeSpan.FromSeconds(60);
    public static readonly TimeSpan Walk = TimeSpan.FromMinutes(4);
    public static readonly TimeSpan Step = TimeSpan.FromMinutes(3);
    public static readonly TimeSpan End = TimeSpan.FromSeconds(30);
}
