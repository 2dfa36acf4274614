namespace TeleHearing.Contracts;

/// <summary>Something in a file that keeps all of it from being used.</summary>
/// <param name="Line">Line of the file, from 1; 0 when the whole file is meant.</param>
/// <param name="Column">Column heading; empty when the whole line is meant.</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record ImportFault(int Line, string Column, string Sentence);

/// <summary>What an import does, or did, with one kit.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="New">Whether it is entered by this import, as a draft.</param>
/// <param name="Changes">What changes, as sentences; empty when nothing does.</param>
public sealed record ImportChange(KitId KitId, bool New, IReadOnlyList<string> Changes);

/// <summary>Answer to a file of kits and items: all its faults, or all it does.</summary>
/// <param name="Faults">Everything that is wrong; nothing is changed then.</param>
/// <param name="Changes">What it does, kit by kit.</param>
/// <param name="Kept">Whether it was done; a preview is not.</param>
/// <param name="Refusal">Why it was not done although the file is right.</param>
public sealed record ImportReply(IReadOnlyList<ImportFault> Faults, IReadOnlyList<ImportChange> Changes, bool Kept, Refusal? Refusal)
{
    /// <summary>Where a file is posted; "keep=true" in the query keeps it.</summary>
    public const string Path = "/api/kits/import";

    /// <summary>Where all kits and items are read as a file.</summary>
    public const string ExportPath = "/api/kits/export";
}
