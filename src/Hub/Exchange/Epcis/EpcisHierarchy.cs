namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>What is in the case and what is joined to what, as the events written so far say it. An event declared wrong counts as if it had never been written.</summary>
internal sealed class EpcisHierarchy
{
    private readonly List<EpcisEvent> _events = [];
    private readonly HashSet<string> _wrong = [];

    /// <summary>What is in the case, one by one.</summary>
    public IReadOnlyList<string> Contained => [.. Children(EpcisEventType.AggregationEvent).Select(pair => pair.Child)];

    /// <summary>What is in the case by number.</summary>
    public IReadOnlyList<EpcisQuantity> Counted
    {
        get
        {
            var counted = new SortedDictionary<string, int>(StringComparer.Ordinal);
            foreach (var happened in Standing().Where(happened => happened.Type == EpcisEventType.AggregationEvent))
            {
                foreach (var quantity in happened.Quantities)
                {
                    if (happened.Action == EpcisAction.Add)
                    {
                        counted[quantity.Kind] = quantity.Count;
                    }
                    else
                    {
                        counted.Remove(quantity.Kind);
                    }
                }
            }

            return [.. counted.Select(pair => new EpcisQuantity(pair.Key, pair.Value))];
        }
    }

    /// <summary>What is joined: unit and what belongs to it.</summary>
    public IReadOnlyList<(string Parent, string Child)> Joined => Children(EpcisEventType.AssociationEvent);

    /// <summary>Whether a thing was put into service before.</summary>
    public bool Began(string thing) => Standing().Any(happened => happened is { Type: EpcisEventType.ObjectEvent, Action: EpcisAction.Add } && happened.Things.Contains(thing));

    /// <summary>Takes note of an event.</summary>
    public void Add(EpcisEvent happened)
    {
        if (happened.Error is not null)
        {
            _wrong.Add(happened.Id);
        }
        else
        {
            _events.Add(happened);
        }
    }

    private IEnumerable<EpcisEvent> Standing() => _events.Where(happened => !_wrong.Contains(happened.Id));

    private List<(string Parent, string Child)> Children(EpcisEventType type)
    {
        var children = new List<(string Parent, string Child)>();
        foreach (var happened in Standing().Where(happened => happened.Type == type))
        {
            children.RemoveAll(pair => happened.Children.Contains(pair.Child));
            if (happened.Action == EpcisAction.Add)
            {
                children.AddRange(happened.Children.Select(child => (happened.Parent!, child)));
            }
        }

        return children;
    }
}
