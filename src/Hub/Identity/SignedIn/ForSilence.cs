namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>Marks an address that asks for silence and nothing else: whoever is connected may use it also while the store cannot be asked about them.</summary>
internal sealed class ForSilence;
