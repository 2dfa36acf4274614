using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Items;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Whether what a command or a report names outside the kit's facts is there: a photo in its folder, a step in the clinic's ladder.</summary>
internal sealed class NamedThings(PhotoStore photos, FleetFacts fleet)
{
    /// <summary>Why a command names something that is not there; absent when all is.</summary>
    public async Task<Refusal?> Unknown(KitId kitId, KitCommand command, CancellationToken cancellationToken) => command switch
    {
        PackKit pack => Photo(kitId, pack.Photo),
        CheckInKit checkIn => Photo(kitId, checkIn.Photo),
        PackUpKit packUp => Photo(kitId, packUp.Photo),
        ReceiveKit receive => Photo(kitId, receive.Photo),
        CountKit count => Photo(kitId, count.Photo),
        TakeReminderStep step => await Step(step.Step, cancellationToken),
        _ => null,
    };

    /// <summary>Why a report names something that is not there; absent when all is.</summary>
    public Refusal? Unknown(KitId kitId, KitReport report) => report switch
    {
        CaseCounted counted => Photo(kitId, counted.Photo),
        CasePacked packed => Photo(kitId, packed.Photo),
        _ => null,
    };

    private Refusal? Photo(KitId kitId, string? photo) => string.IsNullOrWhiteSpace(photo) || photos.Find(kitId, photo.Trim()) is not null
        ? null
        : new Refusal(RefusalCodes.Invalid, "The hub keeps no such photo of this kit.", "Hand in the photo first, or leave it out.");

    private async Task<Refusal?> Step(string step, CancellationToken cancellationToken)
    {
        var ladder = (await fleet.Load(cancellationToken)).State.Terms.Ladder;
        return ladder.Any(known => known.Code == step.Trim())
            ? null
            : new Refusal(RefusalCodes.Invalid, "The clinic's ladder of reminders has no such step.", $"Its steps are: {string.Join(", ", ladder.Select(known => known.Code))}.");
    }
}
