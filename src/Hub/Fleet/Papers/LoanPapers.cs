using System.Globalization;
using System.Net;
using System.Text;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Fleet.Papers;

/// <summary>What the papers of a loan are made of.</summary>
/// <param name="Loan">The loan.</param>
/// <param name="KitId">Kit that goes.</param>
/// <param name="Label">What is in it.</param>
/// <param name="Items">Contents, line by line.</param>
/// <param name="Terms">The clinic's terms.</param>
/// <param name="Today">Day of printing.</param>
internal sealed record LoanPaperContent(FleetLoanView Loan, KitId KitId, string Label, IReadOnlyList<KitItem> Items, FleetTerms Terms, DateOnly Today)
{
    /// <summary>How the case was packed for this loan; absent while it is not.</summary>
    public PackedCase? Packed { get; init; }

    /// <summary>Where the photo of it is served; absent when there is none any more or never was.</summary>
    public string? PhotoAddress { get; init; }
}

/// <summary>Writes the papers of a loan as one page to print: agreement, instructions for the site, label for the way back. Pure. Nothing about a person tested stands in them, and no claim about the law.</summary>
internal static class LoanPapers
{
    /// <summary>The page.</summary>
    public static string Write(LoanPaperContent content)
    {
        var page = new StringBuilder();
        page.Append("<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>Papers of a loan: ")
            .Append(Text(content.KitId.Value)).Append("</title><style>").Append(Style).Append("</style></head><body><main>");
        page.Append("<p class=\"screen\">Print this page: each paper begins on a new sheet. <a href=\"/loans/").Append(content.Loan.Request.LoanId).Append("\">Back to the loan</a></p>");
        Agreement(page, content);
        Instructions(page, content);
        Label(page, content);
        return page.Append("</main></body></html>").ToString();
    }

    // Enough of a photo's id to find it by.
    private const int PhotoMark = 12;

    private static void Agreement(StringBuilder page, LoanPaperContent content)
    {
        page.Append("<section><h1>Loan of a hearing test kit</h1><table class=\"facts\">");
        Row(page, "Kit", $"{content.KitId} ({content.Label})");
        Row(page, "Goes to", content.Loan.Request.Place);
        Row(page, "Leaves us by", content.Loan.Booking is { } booking ? Day(booking.ShipBy) : "not known");
        Row(page, "Used on", string.Join(", ", content.Loan.Request.SessionDays.Select(Day)));
        Row(page, "Back with us on", content.Loan.DueBack is { } due ? Day(due) : "not known");
        Row(page, "Telephone", content.Terms.Telephone.Length > 0 ? content.Terms.Telephone : "____________________");
        page.Append("</table><h2>What is in the case</h2>");
        if (content.Items.Count == 0)
        {
            page.Append("<p>The contents of this kit are not entered yet. List them here by hand.</p><div class=\"lines\"></div>");
        }
        else
        {
            page.Append("<table><thead><tr><th>What</th><th>How many</th><th>Serial or lot</th><th>There when sent</th><th>There when back</th></tr></thead><tbody>");
            foreach (var item in content.Items)
            {
                page.Append("<tr><td>").Append(Text(item.Kind)).Append(item.SingleUse ? " (used once, do not send back)" : string.Empty)
                    .Append("</td><td>").Append(item.ExpectedCount.ToString(CultureInfo.InvariantCulture))
                    .Append("</td><td>").Append(Text(item.Serial ?? item.Lot ?? string.Empty)).Append("</td><td class=\"box\">").Append(Sent(content.Packed, item)).Append("</td><td class=\"box\">☐</td></tr>");
            }

            page.Append("</tbody></table>");
        }

        page.Append("<h2>Photo of the open case</h2>");
        Photo(page, content);
        page.Append("<h2>What we agree</h2><ul>");
        foreach (var line in Terms)
        {
            page.Append("<li>").Append(Text(line)).Append("</li>");
        }

        page.Append("</ul><table class=\"sign\"><tr><td>Name</td><td>Signed</td><td>Date</td></tr><tr><td>For the site</td><td></td><td></td></tr><tr><td>For the clinic</td><td></td><td></td></tr></table>");
        page.Append("<p class=\"small\">Printed on ").Append(Day(content.Today)).Append(". Local rules may ask for more than this paper says.</p></section>");
    }

    private static bool IsWipes(KitItem item) => item.Kind.Contains("wipe", StringComparison.OrdinalIgnoreCase);

    // A kit whose number begins with the word already is not called so twice.
    private static string Kit(KitId kitId) => kitId.Value.StartsWith("kit", StringComparison.OrdinalIgnoreCase) ? "K" + kitId.Value[1..] : $"Kit {kitId}";

    /// <summary>How many were counted into the case; a box to tick while nobody counted.</summary>
    private static string Sent(PackedCase? packed, KitItem item) =>
        packed?.Counts.FirstOrDefault(count => string.Equals(count.ItemId, item.ItemId, StringComparison.OrdinalIgnoreCase))?.Count.ToString(CultureInfo.InvariantCulture) ?? "☐";

    private static void Photo(StringBuilder page, LoanPaperContent content)
    {
        switch (content)
        {
            case { Packed: null }:
                page.Append("<p class=\"photo\">The case is not packed yet. Print this page again when it is: the photo taken then comes here.</p>");
                break;
            case { Packed.Photo: null }:
                page.Append("<p class=\"photo\">No photo was taken when the case was packed. What was counted into it stands in the list above.</p>");
                break;
            case { PhotoAddress: { } address }:
                page.Append("<figure><img src=\"").Append(Text(address)).Append("\" alt=\"The open case as it was packed for this loan\"><figcaption>The open case as it was packed for this loan. Photo ")
                    .Append(Text(content.Packed.Photo[..Math.Min(content.Packed.Photo.Length, PhotoMark)])).Append(".</figcaption></figure>");
                break;
            default:
                page.Append("<p class=\"photo\">A photo was taken when the case was packed, and its file is not there any more. What was counted into the case stands in the list above.</p>");
                break;
        }
    }

    private static void Instructions(StringBuilder page, LoanPaperContent content)
    {
        page.Append("<section class=\"large\"><h1>How to use the case</h1>");
        Steps(page, "When it comes", SiteInstructions.WhenItComes, ordered: true);
        Steps(page, "Before it goes back", SiteInstructions.BeforeItGoes(content.Items.Any(IsWipes)), ordered: true);
        page.Append("<p class=\"big\">Give it to the carrier on: ")
            .Append(content.Loan.Booking is { } booking ? Day(booking.PickedUp) : "____________________").Append("</p>");
        page.Append("<h2>If something is wrong</h2><dl>");
        foreach (var (question, answers) in SiteInstructions.WhenSomethingIsWrong)
        {
            page.Append("<div><dt>").Append(Text(question)).Append("</dt>");
            foreach (var answer in answers)
            {
                page.Append("<dd>").Append(Text(answer)).Append("</dd>");
            }

            page.Append("</div>");
        }

        page.Append("</dl>");
        page.Append("<p class=\"big\">Call: ").Append(content.Terms.Telephone.Length > 0 ? Text(content.Terms.Telephone) : "____________________").Append("</p></section>");
    }

    private static void Label(StringBuilder page, LoanPaperContent content)
    {
        page.Append("<section><h1>Return label</h1><div class=\"label\"><p>To</p><address>");
        page.Append(ReturnLabel.Lines(content.Terms) is { Count: > 0 } lines ? string.Join("<br>", lines.Select(Text)) : "The return address is not entered yet.");
        page.Append("</address><p>From</p><p class=\"sender\">").Append(Text(content.Loan.Request.Place)).Append("</p><p>").Append(Text(Kit(content.KitId))).Append(", return of a loan</p><p class=\"small\">Handle with care. If found, call ")
            .Append(content.Terms.Telephone.Length > 0 ? Text(content.Terms.Telephone) : "____________________")
            .Append(".</p></div><p>Batteries may need marks of their own on the parcel. Ask the carrier; rules change.</p></section>");
    }

    /// <summary>What both sides agree, in the words of the instructions.</summary>
    internal static IReadOnlyList<string> Terms { get; } =
    [
        "The kit stays ours.",
        "You use it only for the sessions named here.",
        "You keep it dry, indoors and away from children.",
        "You do not open or repair the units.",
        "You tell us at once if it is lost, stolen or broken.",
        "You send it back on the day named here.",
    ];

    private static void Steps(StringBuilder page, string title, IReadOnlyList<string> steps, bool ordered)
    {
        var tag = ordered ? "ol" : "ul";
        page.Append("<h2>").Append(title).Append("</h2><").Append(tag).Append('>');
        foreach (var step in steps)
        {
            page.Append("<li>").Append(Text(step)).Append("</li>");
        }

        page.Append("</").Append(tag).Append('>');
    }

    private static void Row(StringBuilder page, string name, string value) =>
        page.Append("<tr><th>").Append(name).Append("</th><td>").Append(Text(value)).Append("</td></tr>");

    private static string Day(DateOnly day) => day.ToString("dddd d MMMM yyyy", CultureInfo.InvariantCulture);

    private static string Text(string text) => WebUtility.HtmlEncode(text);

    /// <summary>The style of the page, as it stands between the style tags.</summary>
    public const string Style =
        "body{font:16px/1.45 system-ui,Arial,sans-serif;color:#111;margin:0}main{max-width:50rem;margin:0 auto;padding:1rem 1.5rem}"
        + "section{margin-bottom:3rem}h1{font-size:1.7rem}h2{font-size:1.2rem;margin:1.1rem 0 .3rem}table{border-collapse:collapse;width:100%}"
        + "th,td{text-align:left;border:1px solid #777;padding:.3rem .5rem;vertical-align:top}.facts th{width:11rem}.box{text-align:center;font-size:1.3rem}"
        + ".photo{border:2px dashed #777;padding:.6rem;color:#444}figure{margin:0}figure img{max-width:100%;max-height:11cm;border:1px solid #777}figcaption{font-size:.9rem}.lines{height:8rem;border:1px solid #777}.sign td{height:2.2rem}"
        + ".large{font-size:20px}.large li{margin:.25rem 0}.big{font-size:1.3rem;font-weight:700}.small{font-size:.9rem}dl>div{break-inside:avoid;margin:.5rem 0}dt{font-weight:700}"
        + ".label{border:3px solid #111;padding:1.2rem;max-width:32rem;font-size:1.4rem}.label address{font-style:normal;font-weight:700}"
        + "@media print{.screen{display:none}section{break-after:page;margin:0}section:last-child{break-after:auto}main{max-width:none;padding:0}tr,figure{break-inside:avoid}@page{margin:16mm}}";
}
