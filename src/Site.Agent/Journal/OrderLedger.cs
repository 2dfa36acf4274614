using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>Which orders this kit has accepted, which one it never ended, and whether stop is pressed: durable before anything is done about it, so that a step is carried out at most once even across a power cut.</summary>
/// <remarks>Plain text, because it must be readable before the hub has given the journal's key. It holds ids and counts alone. Thread-safe.</remarks>
internal sealed class OrderLedger
{
    private const string FileName = "orders.json";

    /// <summary>Sessions remembered besides the current one; a kit serves one at a time, older ones only come back by mistake.</summary>
    private const int SessionsKept = 8;
    private readonly string _path;
    private readonly IDurableFiles _files;
    private readonly Lock _lock = new();
    private Content _content;

    private OrderLedger(string path, IDurableFiles files, Content content) => (_path, _files, _content) = (path, files, content);

    /// <summary>A step that was accepted and never ended.</summary>
    public OpenStep? Unfinished => Read().Unfinished;

    /// <summary>Whether stop was pressed and the clinician has not yet resumed.</summary>
    public StopMark? Stop => Read().Stop;

    /// <summary>Ids of the orders accepted in the current session.</summary>
    public IReadOnlyList<StepId> OrdersSeen => Read().Sessions is [.., var last] ? last.Orders : [];

    /// <summary>Reads the ledger.</summary>
    /// <exception cref="StorageFaultException">It cannot be read.</exception>
    /// <exception cref="InvalidDataException">It is damaged: whether an order was carried out can no longer be known.</exception>
    public static OrderLedger Load(string folder, IDurableFiles files) => StorageFaultException.Guard(() =>
    {
        var path = Path.Combine(folder, FileName);
        var bytes = files.ReadWhole(path);
        try
        {
            var content = bytes is null ? new Content([], null, null) : JsonSerializer.Deserialize<Content>(bytes, Protocol.Json);
            return new OrderLedger(path, files, content ?? throw new JsonException());
        }
        catch (JsonException)
        {
            throw new InvalidDataException($"{path} is damaged, so this kit cannot tell which steps it has carried out. Enrol the kit anew.");
        }
    });

    /// <summary>What is known of a session's orders; nothing for a session never seen.</summary>
    public SessionOrders? Of(SessionId sessionId) => Read().Sessions.FirstOrDefault(session => session.SessionId == sessionId);

    /// <summary>Marks an order as accepted and its step as begun.</summary>
    public void Accept(StepOrder order) => Change(content =>
    {
        var known = content.Sessions.FirstOrDefault(session => session.SessionId == order.SessionId);
        var now = new SessionOrders(
            order.SessionId,
            Math.Max(order.OrderNumber, known?.HighestOrder ?? 0),
            Math.Max(order.ControlEpoch, known?.HighestEpoch ?? 0),
            [.. known?.Orders ?? [], order.StepId]);
        return content with
        {
            Sessions = [.. content.Sessions.Where(session => session.SessionId != order.SessionId).TakeLast(SessionsKept), now],
            Unfinished = new OpenStep(order.SessionId, order.StepId),
        };
    });

    /// <summary>Control of a session has changed hands: orders of an older epoch are refused from now on, also when they arrive before the first one of this epoch. A lower epoch than the one known changes nothing.</summary>
    public void Raise(SessionId sessionId, int epoch) => Change(content =>
    {
        var known = content.Sessions.FirstOrDefault(session => session.SessionId == sessionId);
        return known is not null && known.HighestEpoch >= epoch
            ? content
            : content with
            {
                Sessions = [.. content.Sessions.Where(session => session.SessionId != sessionId).TakeLast(SessionsKept), known is null ? new SessionOrders(sessionId, 0, epoch, []) : known with { HighestEpoch = epoch }],
            };
    });

    /// <summary>The step in hand has ended.</summary>
    public void End(StepId stepId) => Change(content => content.Unfinished?.StepId == stepId ? content with { Unfinished = null } : content);

    /// <summary>Stop was pressed, or was taken back.</summary>
    public void Mark(StopMark? stop) => Change(content => content with { Stop = stop });

    private Content Read()
    {
        lock (_lock)
        {
            return _content;
        }
    }

    private void Change(Func<Content, Content> change)
    {
        lock (_lock)
        {
            var changed = change(_content);
            if (changed != _content)
            {
                StorageFaultException.Guard(() => _files.Replace(_path, JsonSerializer.SerializeToUtf8Bytes(changed, Protocol.Json)));
                _content = changed;
            }
        }
    }

    private sealed record Content(IReadOnlyList<SessionOrders> Sessions, OpenStep? Unfinished, StopMark? Stop);
}

/// <summary>What a kit remembers of one session's orders.</summary>
/// <param name="SessionId">The session.</param>
/// <param name="HighestOrder">Highest order number accepted.</param>
/// <param name="HighestEpoch">Highest control epoch seen.</param>
/// <param name="Orders">Steps accepted, oldest first.</param>
internal sealed record SessionOrders(SessionId SessionId, long HighestOrder, int HighestEpoch, IReadOnlyList<StepId> Orders);

/// <summary>A step accepted and not ended.</summary>
internal sealed record OpenStep(SessionId SessionId, StepId StepId);

/// <summary>A stop at the site that the clinician has not answered yet.</summary>
/// <param name="Sequence">Its place in the journal; absent while it waits for the journal's key.</param>
/// <param name="Withdrawn">Whether consent was taken back with it.</param>
internal sealed record StopMark(long? Sequence, bool Withdrawn = false)
{
    /// <summary>The open session it was told to; absent while there was none.</summary>
    public SessionId? ToldTo { get; init; }
}
