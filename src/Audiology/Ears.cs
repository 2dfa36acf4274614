namespace TeleHearing.Audiology;

/// <summary>The two ears.</summary>
public static class Ears
{
    /// <summary>The ear on the other side.</summary>
    public static Ear Other(this Ear ear) => ear == Ear.Right ? Ear.Left : Ear.Right;
}
