using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>What a loan would come to, and which kits would do for it.</summary>
internal sealed record ConsiderLoanQuery(int Version, RequestLoan Loan, Caller Caller) : IHubRequest<LoanChoiceReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public IReadOnlyList<string> Faults() => FleetCommandValidator.Faults(Loan);

    public LoanChoiceReply Refused(Refusal refusal) => new(null, [], [], refusal);

    public string Trace() => $"consider loan {Loan?.LoanId}";
}

internal sealed class ConsiderLoanHandler : IRequestHandler<ConsiderLoanQuery, LoanChoiceReply>
{
    private readonly FleetFacts _fleet;

    public ConsiderLoanHandler(FleetFacts fleet) => _fleet = fleet;

    public async Task<LoanChoiceReply> Handle(ConsiderLoanQuery request, CancellationToken cancellationToken)
    {
        var state = (await _fleet.Load(cancellationToken)).State;
        var caller = (PersonCaller)request.Caller;
        var context = await _fleet.Context(state, new Actor(caller.Id, caller.Name), RightsTable.CaresForKits(caller), cancellationToken);

        // A loan is no obstacle to itself: one that was asked for already is considered as if it were new.
        var considered = LoanBooking.Consider(state with { Loans = state.Loans.Remove(request.Loan.LoanId) }, request.Loan, context);
        IReadOnlyList<string> faults = considered.Refusal is { } refusal ? [refusal.Remedy is null ? refusal.Sentence : $"{refusal.Sentence} {refusal.Remedy}"] : [];
        return new LoanChoiceReply(
            considered.Booking,
            faults,
            considered is { Booking: { } booking, Refusal: null } ? LoanChoices.Of(considered.Request, booking, context) : [],
            null);
    }
}
