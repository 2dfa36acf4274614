using TeleHearing.Hub.Identity.Pages;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>What a person reads when their organisation's sign-in did not let them in.</summary>
internal static class OrganisationPages
{
    /// <summary>Not let in.</summary>
    public static PlainPage Refused(string sentence) => new(
        StatusCodes.Status403Forbidden,
        "You are not signed in",
        $"""<p>{PlainPage.Text(sentence)} Nothing has happened.</p><p><a href="/sign-in/organisation">Try again</a>, or <a href="/sign-in">sign in another way</a>.</p>""");

    /// <summary>No organisation is set up.</summary>
    public static PlainPage Absent() => new(
        StatusCodes.Status404NotFound,
        "No organisation is set up here",
        """<p>This hub has no sign-in through an organisation. <a href="/sign-in">Sign in another way</a>.</p>""");
}
