namespace TeleHearing.Hub.Data;

/// <summary>What a restore did about rights that had been taken away since the backup was made.</summary>
/// <param name="Known">Whether the folder from before could be asked. If not, nothing is known of what was taken away since.</param>
/// <param name="Kits">Kits that must be enrolled anew: their key was taken away or changed since.</param>
/// <param name="People">Accounts from which something was taken again: closed, a role, a way in.</param>
/// <param name="KitsToLookAt">Kits of the backup that may link and of which nothing newer is known.</param>
/// <param name="PeopleToLookAt">Accounts of the backup that are open and of which nothing newer is known: name and roles.</param>
internal sealed record CarriedRights(bool Known, IReadOnlyList<string> Kits, IReadOnlyList<string> People, IReadOnlyList<string> KitsToLookAt, IReadOnlyList<string> PeopleToLookAt)
{
    /// <summary>What whoever restores is told, a sentence a line.</summary>
    public IEnumerable<string> Lines()
    {
        yield return "Everybody signs in anew. Invitations, sign-in links and enrolment codes that were not used are void: make new ones.";
        if (Kits.Count > 0)
        {
            yield return $"The key of these kits had been taken away or changed since, and is taken away again; enrol them anew to use them: {string.Join(", ", Kits)}.";
        }

        if (People.Count > 0)
        {
            yield return $"{(People.Count == 1 ? "1 account" : $"{People.Count} accounts")} lost what had been taken away since: closed, a role, or a way to sign in.";
        }

        if (!Known)
        {
            yield return "There was no readable hub in the folder before, so nothing is known of rights taken away since the backup. Look at them before anybody works with the hub.";
        }

        if (KitsToLookAt.Count > 0)
        {
            yield return $"Kits that may link: {string.Join(", ", KitsToLookAt)}. Was one lost, stolen or given back since? Take its key away.";
        }

        if (PeopleToLookAt.Count > 0)
        {
            yield return $"Accounts that are open: {string.Join("; ", PeopleToLookAt)}. Has somebody left, or lost a role? Close the account or take the role away.";
        }
    }
}
