using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Routing;

namespace TeleHearing.Clinician.Web.Layout;

/// <summary>The link to loans in the top bar: marked on every page of its tabs, though their addresses begin otherwise.</summary>
public sealed class LoansLink : NavLink
{
    private static readonly string[] _pages = ["loans", "fleet", "errands", "incidents"];

    [Inject]
    private NavigationManager Addresses { get; set; } = null!;

    /// <inheritdoc />
    protected override bool ShouldMatch(string uriAbsolute)
    {
        var path = Addresses.ToBaseRelativePath(uriAbsolute).Split('?', '#')[0];
        return _pages.Any(page => path == page || path.StartsWith(page + "/", StringComparison.Ordinal));
    }
}
