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

    /// <summary>An account of the organisation was proven by what was set up here.</summary>
    public static PlainPage Instead() => new(
        StatusCodes.Status403Forbidden,
        "Sign in through your organisation",
        """<p>Your account is your organisation's, so you come in from there alone. You are not signed in. What you have set up here proves who you are at a console that is open already.</p><p><a href="/sign-in/organisation">Sign in through your organisation</a></p>""");

    /// <summary>The hub's disk failed.</summary>
    public static PlainPage NotKept() => new(
        StatusCodes.Status503ServiceUnavailable,
        "You are not signed in",
        """<p>The hub could not write to its disk. Nothing has changed. Ask the owner of the clinic to look at it, then <a href="/sign-in/organisation">try again</a>.</p>""");

    /// <summary>No organisation is set up.</summary>
    public static PlainPage Absent() => new(
        StatusCodes.Status404NotFound,
        "No organisation is set up here",
        """<p>This hub has no sign-in through an organisation. <a href="/sign-in">Sign in another way</a>.</p>""");
}
