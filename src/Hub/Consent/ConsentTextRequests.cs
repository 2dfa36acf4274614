using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Consent;

/// <summary>The clinic's consent texts.</summary>
internal sealed record ReadConsentTexts(Caller Caller) : IHubRequest<ConsentTextsReply>
{
    public ConsentTextsReply Refused(Refusal refusal) => new([], refusal);

    public string Trace() => "read consent texts";
}

internal sealed class ReadConsentTextsHandler : IRequestHandler<ReadConsentTexts, ConsentTextsReply>
{
    private readonly ConsentTexts _texts;

    public ReadConsentTextsHandler(ConsentTexts texts) => _texts = texts;

    public async Task<ConsentTextsReply> Handle(ReadConsentTexts request, CancellationToken cancellationToken) => new(await _texts.All(cancellationToken), null);
}

/// <summary>Keep a consent text as the next version.</summary>
internal sealed record KeepConsentText(ConsentText Text, Caller Caller) : IHubRequest<ConsentTextReply>, IValidated
{
    public int? ProtocolVersion => null;

    public IReadOnlyList<string> Faults() => Text is null ? ["The text is missing."] : [];

    public ConsentTextReply Refused(Refusal refusal) => new(null, [], refusal);

    public string Trace() => Text is null ? "keep a consent text" : $"keep version {Text.Version} of the consent text for {Text.Purpose}";
}

internal sealed class KeepConsentTextHandler : IRequestHandler<KeepConsentText, ConsentTextReply>
{
    private readonly ConsentTexts _texts;

    public KeepConsentTextHandler(ConsentTexts texts) => _texts = texts;

    public Task<ConsentTextReply> Handle(KeepConsentText request, CancellationToken cancellationToken) =>
        _texts.Keep(request.Text, ((PersonCaller)request.Caller).Name, cancellationToken);
}
