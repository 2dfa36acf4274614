using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Simulation;

/// <summary>How long a kit is away, from one loan to the next. A closed set; all draw from the random source they are given.</summary>
public abstract record CycleTime
{
    private CycleTime()
    {
    }

    /// <summary>What keeps it from being used; empty when nothing does.</summary>
    public abstract IReadOnlyList<LogisticsFault> Faults();

    /// <summary>About how long a cycle is, days; how long a run is warmed up follows from it.</summary>
    internal abstract double RoughMeanDays { get; }

    /// <summary>A source of cycles: from the day a loan is asked for, to the days between which it has a kit, all counted from the beginning of the run.</summary>
    internal abstract Func<double, Random, (double From, double Until)> Source();

    private static IReadOnlyList<LogisticsFault> MeanFaults(string field, double meanDays) => meanDays > 0 && meanDays <= Fleet.Load.LongestCycleDays
        ? []
        : [new(field, $"Give the mean cycle in days, above 0 and up to {Fleet.Load.LongestCycleDays:0}.")];

    /// <summary>Always the same.</summary>
    /// <param name="Days">Days.</param>
    public sealed record Even(double Days) : CycleTime
    {
        /// <inheritdoc/>
        public override IReadOnlyList<LogisticsFault> Faults() => MeanFaults(nameof(Days), Days);

        internal override double RoughMeanDays => Days;

        internal override Func<double, Random, (double From, double Until)> Source() => (asked, _) => (asked, asked + Days);
    }

    /// <summary>Exponentially distributed: most are short, a few very long.</summary>
    /// <param name="MeanDays">Mean, days.</param>
    public sealed record Exponential(double MeanDays) : CycleTime
    {
        /// <inheritdoc/>
        public override IReadOnlyList<LogisticsFault> Faults() => MeanFaults(nameof(MeanDays), MeanDays);

        internal override double RoughMeanDays => MeanDays;

        internal override Func<double, Random, (double From, double Until)> Source() => (asked, random) => (asked, asked + Draws.Exponential(random, MeanDays));
    }

    /// <summary>Lognormally distributed: near its usual length, with a tail of late returns.</summary>
    /// <param name="MeanDays">Mean, days.</param>
    /// <param name="Variation">Standard deviation divided by the mean, above 0 and up to 10.</param>
    public sealed record LogNormal(double MeanDays, double Variation) : CycleTime
    {
        /// <inheritdoc/>
        public override IReadOnlyList<LogisticsFault> Faults() => Variation is > 0 and <= 10
            ? MeanFaults(nameof(MeanDays), MeanDays)
            : [.. MeanFaults(nameof(MeanDays), MeanDays), new(nameof(Variation), "Give the standard deviation divided by the mean, above 0 and up to 10.")];

        internal override double RoughMeanDays => MeanDays;

        internal override Func<double, Random, (double From, double Until)> Source() => (asked, random) => (asked, asked + Draws.LogNormal(random, MeanDays, Variation));
    }

    /// <summary>The real dates: each loan is sent as soon as its clinic works, and takes the days its calendars give it.</summary>
    /// <param name="FirstDay">Day on which the run begins, warming up included.</param>
    /// <param name="Days">How long each part of a loan takes.</param>
    /// <param name="Calendars">Working days of both ends; holidays are wanted for the whole run.</param>
    public sealed record Booked(DateOnly FirstDay, BookingDays Days, CalendarPair Calendars) : CycleTime
    {
        /// <inheritdoc/>
        public override IReadOnlyList<LogisticsFault> Faults() =>
            FirstDay.Year is < Require.FirstYear or > Require.LastYear - MostYearsAhead
                ? [.. Days.Faults(), new(nameof(FirstDay), "The first day cannot be right.")]
                : Days.Faults();

        internal override double RoughMeanDays => BookingPlanner.Earliest(FirstDay, Days, Calendars).CycleDays;

        internal override Func<double, Random, (double From, double Until)> Source()
        {
            var known = new Dictionary<int, (double From, double Until)>();
            return (asked, _) =>
            {
                var day = (int)Math.Floor(asked);
                if (!known.TryGetValue(day, out var days))
                {
                    var booking = BookingPlanner.Earliest(FirstDay.AddDays(day), Days, Calendars);
                    days = (booking.ShipBy.DayNumber - FirstDay.DayNumber, booking.BookableFrom.DayNumber - FirstDay.DayNumber);
                    known.Add(day, days);
                }

                return days;
            };
        }

        private const int MostYearsAhead = 200;
    }
}
