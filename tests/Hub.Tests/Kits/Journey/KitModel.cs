using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>What must be true of a kit before it is lent and sent, kept from its facts alone and beside the code that decides it.</summary>
internal sealed class KitModel
{
    private readonly HashSet<KitHoldKind> _byHand = [];
    private readonly HashSet<LoanId> _signed = [];
    private readonly Dictionary<LoanId, (DateOnly From, DateOnly DueBack, DateOnly Bookable)> _promised = [];
    private readonly HashSet<(long, SessionId)> _toReview = [];
    private DateOnly? _calibratedUntil;
    private DateOnly? _partsReplacedOn;
    private bool _clean = true;
    private bool _lastCheckPassed = true;
    private LoanId? _out;
    private SessionId? _worn;
    private readonly List<RecordedFact> _read = [];

    /// <summary>Facts read so far.</summary>
    public int Taken { get; private set; }

    /// <summary>Asserts what must hold at the moment a fact happens.</summary>
    /// <param name="fact">The fact.</param>
    /// <param name="before">The kit before it.</param>
    /// <param name="today">The hub's day.</param>
    /// <param name="personOf">Who was tested in a session.</param>
    public void Check(KitFact fact, KitState before, DateOnly today, Func<SessionId, string> personOf)
    {
        if (fact is KitTakenIntoUse use)
        {
            Assert.True(_worn is not { } worn || personOf(worn) == personOf(use.SessionId), "Put on another person before anybody signed that it is clean.");
        }

        Assert.False(fact is TurnaroundSigned { Step: KitStage.Cleaning, SkippedBecause: not null } && _worn is not null, "Cleaning skipped though it was worn.");
        if (fact is KitSent { Leg: KitLeg.Out } sent)
        {
            Assert.Empty(_byHand);
            Assert.Empty(_toReview);
            Assert.True(_clean, "Sent though nobody signed that it is clean.");
            Assert.True(_lastCheckPassed, "Sent after a failed check.");
            Assert.Contains(sent.LoanId, _signed);
            Assert.True(_partsReplacedOn is null, "Sent with parts replaced and no calibration since.");
            Assert.True(_calibratedUntil >= today && _calibratedUntil >= _promised[sent.LoanId].DueBack, "Sent with a calibration that ends first.");
            Assert.True(_out is null, "Sent while away.");
            Assert.Contains(before.Stage, new[] { KitStage.Packed, KitStage.AwaitingPickup });
        }

        if (fact is KitReserved reserved)
        {
            Assert.Empty(_byHand);
            Assert.True(reserved.From >= today, "Promised for days that are over.");
            Assert.All(_promised.Values, other => Assert.True(reserved.From >= other.Bookable || other.From >= reserved.BookableFrom, "Promised for days in which it is away or on the mend."));
            Assert.True(_out is not { } away || reserved.From >= _promised[away].Bookable, "Promised while it is away.");
            Assert.True(_calibratedUntil >= reserved.DueBack, "Promised beyond its calibration.");
            Assert.False(KitStages.IsGone(before.Stage) || before.Stage is KitStage.MissingParcel or KitStage.Draft, "Promised though nobody has it.");
        }
    }

    /// <summary>Reads facts.</summary>
    public void Take(IEnumerable<RecordedFact> facts)
    {
        foreach (var recorded in facts)
        {
            Taken++;
            _read.Add(recorded);
            if (recorded.Fact is EntryCorrected { TakesBack: true })
            {
                Anew();
            }
            else
            {
                Read(recorded);
            }
        }
    }

    /// <summary>Begins anew without what was taken back.</summary>
    private void Anew()
    {
        var takenBack = _read.Select(recorded => recorded.Fact).OfType<EntryCorrected>().Where(correction => correction.TakesBack).Select(correction => correction.Sequence).ToHashSet();
        _byHand.Clear();
        _signed.Clear();
        _promised.Clear();
        _toReview.Clear();
        (_calibratedUntil, _partsReplacedOn, _clean, _lastCheckPassed, _out, _worn) = (null, null, true, true, null, null);
        foreach (var recorded in _read.Where(recorded => !takenBack.Contains(recorded.Sequence)))
        {
            Read(recorded);
        }
    }

    private void Read(RecordedFact recorded)
    {
        switch (recorded.Fact)
        {
            case GearReported { Gear: { Calibration: { } record } gear }:
                // The rule in its own words: three months from the day it was made for gear that is moved, and never past the certificate's own end.
                var months = record.CalibratedOn.AddMonths(gear.Use == GearUse.Moved ? 3 : 12);
                _calibratedUntil = months < record.ValidUntil ? months : record.ValidUntil;
                _partsReplacedOn = record.CalibratedOn >= _partsReplacedOn ? null : _partsReplacedOn;
                break;
            case HoldPlaced hold:
                _byHand.Add(hold.Kind);
                break;
            case HoldLifted hold:
                _byHand.Remove(hold.Kind);
                break;
            case KitReserved reserved:
                _promised[reserved.LoanId] = (reserved.From, reserved.DueBack, reserved.BookableFrom);
                break;
            case LoanExtended extended:
                _promised[extended.LoanId] = (_promised[extended.LoanId].From, extended.DueBack, extended.BookableFrom);
                break;
            case LoanCalledOff off:
                _promised.Remove(off.LoanId);
                break;
            case LoanPaperSigned signed:
                _signed.Add(signed.LoanId);
                break;
            case LoanConsentTakenBack back:
                _signed.Remove(back.LoanId);
                break;
            case KitSent { Leg: KitLeg.Out } sent:
                _out = sent.LoanId;
                break;
            case KitTakenIntoUse use:
                (_clean, _worn) = (false, use.SessionId);
                break;
            case KitReceived or KitFound or KitGone:
                if (recorded.Fact is KitReceived { LoanId: { } ended })
                {
                    _promised.Remove(ended);
                }
                else if (_out is { } lost)
                {
                    _promised.Remove(lost);
                }

                _out = null;
                _clean = false;
                break;
            case TurnaroundSigned { Step: KitStage.Cleaning }:
                (_clean, _worn) = (true, null);
                break;
            case FunctionChecked check:
                _lastCheckPassed = check.Answers.All(answer => answer.Passed);
                break;
            case RepairFinished { PartsReplaced: true }:
                _partsReplacedOn = DateOnly.FromDateTime(recorded.At.UtcDateTime);
                break;
            case LookBackOpened opened:
                _toReview.UnionWith(opened.Sessions.Select(session => (recorded.Sequence, session)));
                break;
            case SessionReviewed reviewed:
                _toReview.Remove((reviewed.LookBack, reviewed.SessionId));
                break;
        }
    }
}
