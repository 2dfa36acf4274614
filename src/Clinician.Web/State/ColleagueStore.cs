using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Who works with this hub, asked anew whenever a form needs it.</summary>
public sealed class ColleagueStore(IConsoleLink link, Account account)
{
    /// <summary>Everyone but oneself, by name.</summary>
    public IReadOnlyList<ColleagueView> Others { get; private set; } = [];

    /// <summary>Whether they could be read.</summary>
    public bool Known { get; private set; }

    /// <summary>Reads them; when the hub cannot be reached, those read before stay.</summary>
    public async Task Read()
    {
        try
        {
            var reply = await link.ReadColleagues(CancellationToken.None);
            if (reply.Refusal is null)
            {
                (Others, Known) = ([.. reply.People.Where(person => person.PersonId != account.Me?.Id)], true);
            }
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            // The form says that nobody is known, and can be opened again.
        }
    }
}
