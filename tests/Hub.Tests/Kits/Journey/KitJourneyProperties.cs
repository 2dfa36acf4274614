using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>100,000 random histories of kits, twenty kits a clinic, through the deciders and the fold the hub uses. The checks are kept by a model of their own that knows the facts alone.</summary>
public sealed class KitJourneyProperties(ITestOutputHelper output)
{
    private const int Clinics = 5_000;
    private const int StepsAClinic = 240;

    [Fact]
    public void NoHistoryLendsAKitTwiceSendsAHeldOneOrEndsWhereNothingLeadsOn()
    {
        long accepted = 0, refused = 0, sent = 0, walks = 0;
        var stages = new ConcurrentDictionary<KitStage, int>();
        Apart(Clinics, seed =>
        {
            var clinic = new ClinicPlay(seed);
            var models = clinic.Kits.Select(_ => new KitModel()).ToArray();
            for (var index = 0; index < ClinicPlay.KitCount; index++)
            {
                models[index].Take(clinic.Kits[index].History);
            }

            clinic.Happened = (index, before, facts) =>
            {
                // Asking the machine for every trigger costs more than all else; fifty clinics of a thousand facts and more know every way there is.
                if (seed % 100 == 10)
                {
                    Agrees(before, clinic.Kits[index], facts);
                }

                foreach (var fact in facts)
                {
                    models[index].Check(fact, before, clinic.Today, session => clinic.PersonOf(index, session));
                }

                models[index].Take(clinic.Kits[index].History.GetRange(models[index].Taken, facts.Count));
                Interlocked.Add(ref sent, facts.Count(fact => fact is KitSent { Leg: KitLeg.Out }));
            };

            // One clinic in a hundred goes on for long.
            var steps = seed % 100 == 0 ? StepsAClinic * 10 : StepsAClinic;
            for (var step = 0; step < steps; step++)
            {
                clinic.Step();
                if (step % 40 == 0)
                {
                    OneHolderEach(clinic.Kits);
                }
            }

            OneHolderEach(clinic.Kits);
            for (var index = 0; index < ClinicPlay.KitCount; index++)
            {
                stages.AddOrUpdate(clinic.Kits[index].Stage, 1, (_, count) => count + 1);
                RebuiltIsTheSame(clinic, index);
            }

            if (seed % 10 == 0)
            {
                for (var index = 0; index < ClinicPlay.KitCount; index++)
                {
                    if (clinic.Kits[index].Stage != KitStage.Retired)
                    {
                        var from = clinic.Kits[index].Stage;
                        Assert.True(ShelfWalk.ToTheShelf(clinic, index) is not null, $"seed {seed}: {clinic.Kits[index].KitId} does not come back from {from}; it stands at {clinic.Kits[index].Stage}, {string.Join(" ", KitJudgement.Holds(clinic.Kits[index], clinic.Kits, clinic.Today))}");
                        Interlocked.Increment(ref walks);
                    }
                }
            }

            Interlocked.Add(ref accepted, clinic.Accepted);
            Interlocked.Add(ref refused, clinic.Refused);
        });

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{Clinics * ClinicPlay.KitCount} histories, {accepted} commands carried out, {refused} refused, {sent} kits sent, {walks} walks back to the shelf."));
        output.WriteLine(string.Join(", ", stages.OrderBy(pair => pair.Key).Select(pair => $"{pair.Key} {pair.Value}")));
        Assert.True(sent > 5_000, "Too few kits were sent to say anything.");
        Assert.Equal(Enum.GetValues<KitStage>(), stages.Keys.Order());
    }

    [Fact]
    public void FromEveryStageButRetiredTheMachineLeadsToTheShelf()
    {
        var targets = Enum.GetValues<KitStage>().ToDictionary(stage => stage, Next);

        foreach (var start in Enum.GetValues<KitStage>())
        {
            var seen = new HashSet<KitStage> { start };
            var open = new Queue<KitStage>([start]);
            while (open.TryDequeue(out var stage))
            {
                foreach (var next in targets[stage].Where(seen.Add))
                {
                    open.Enqueue(next);
                }
            }

            Assert.Equal(start != KitStage.Retired, seen.Contains(KitStage.Available));
        }
    }

    /// <summary>Plays on threads of its own and below all others: tests that run beside this one talk over sockets and must not wait for it.</summary>
    private static void Apart(int clinics, Action<int> play)
    {
        var faults = new ConcurrentQueue<Exception>();
        var next = -1;
        var threads = Enumerable.Range(0, Environment.ProcessorCount)
            .Select(_ => new Thread(() =>
            {
                try
                {
                    for (var seed = Interlocked.Increment(ref next); seed < clinics && faults.IsEmpty; seed = Interlocked.Increment(ref next))
                    {
                        play(seed);
                    }
                }
                catch (Exception fault)
                {
                    // Told to the test below: a fault on a thread of its own would end the whole run.
                    faults.Enqueue(fault);
                }
            })
            {
                IsBackground = true,
                Priority = ThreadPriority.BelowNormal,
            })
            .ToList();
        threads.ForEach(thread => thread.Start());
        threads.ForEach(thread => thread.Join());
        if (faults.TryDequeue(out var first))
        {
            System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(first);
        }
    }

    /// <summary>Where one act may lead, whatever else is known of the kit.</summary>
    private static HashSet<KitStage> Next(KitStage stage)
    {
        var loan = new KitLoan(LoanId.New(), default, default, default, "Mill Lane 4") { SentOn = default(DateOnly) };
        KitState[] states =
        [
            KitState.Empty(new KitId("kit-01")) with { Stage = stage, Checked = true },
            KitState.Empty(new KitId("kit-01")) with { Stage = stage, Checked = true, UsedSinceCleaning = true, Loans = [loan], InHand = loan.LoanId },
        ];
        return
        [
            .. from state in states
               from trigger in Enum.GetValues<KitTrigger>()
               where new KitMachine(state, []).Unmet(trigger) is null
               select new KitMachine(state, []).After(trigger),
        ];
    }

    /// <summary>The fold asks no machine; what it says must be what the machine permits.</summary>
    private static void Agrees(KitState before, KitState after, IReadOnlyList<KitFact> facts)
    {
        if (before.Stage == after.Stage || facts.Any(fact => fact is EntryCorrected or KitDrafted))
        {
            return;
        }

        var permitted = Enum.GetValues<KitTrigger>().Any(trigger => new KitMachine(before, []).Unmet(trigger) is null && new KitMachine(before, []).After(trigger) == after.Stage);
        Assert.True(permitted, $"{facts[0].GetType().Name} led from {before.Stage} to {after.Stage}, which the machine does not know.");
    }

    private static void OneHolderEach(IReadOnlyList<KitState> kits)
    {
        var loans = kits.SelectMany(kit => kit.Loans.Select(loan => loan.LoanId)).ToList();
        Assert.Equal(loans.Count, loans.Distinct().Count());
        foreach (var kit in kits)
        {
            Assert.True(kit.InHand is null || kit.Loan(kit.InHand.Value) is not null);
            Assert.All(kit.Loans.Zip(kit.Loans.Skip(1)), pair => Assert.True(pair.First.BookableFrom <= pair.Second.From, "Two loans need the kit on one day."));
        }
    }

    private static void RebuiltIsTheSame(ClinicPlay clinic, int index)
    {
        var rebuilt = clinic.Stored[index]
            .Select((row, place) => new RecordedFact(place + 1, row.At, KitFactCatalog.Read(row.Name, row.Shape, row.Payload)))
            .Aggregate(KitState.Empty(clinic.Kits[index].KitId), KitFold.Apply);
        Assert.Equal(Picture(clinic.Kits[index]), Picture(rebuilt));
    }

    private static string Picture(KitState state) => JsonSerializer.Serialize(
        new
        {
            state.Version,
            state.Stage,
            state.StageSince,
            state.Loans,
            state.InHand,
            state.PastLoans,
            Holds = state.HoldsByHand.Keys.Order(),
            state.InSession,
            state.PackUpNoted,
            state.UsedSinceCleaning,
            state.LastUse,
            state.Checked,
            state.PartsReplacedOn,
            state.QuarantineUntil,
            state.Laboratory,
            state.Fault,
            state.Turnaround,
            state.Items,
            state.Counts,
            state.InCase,
            state.Corrections,
            Reviews = state.Reviews.Count,
            Checks = state.FunctionChecks.Count,
        },
        Protocol.Json);
}
