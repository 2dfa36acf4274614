using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>The symbol of one kind of measurement: its shape about its centre, and where it stands beside the frequency.</summary>
/// <remarks>
/// Shapes and arrows of ASHA 1990 and ISO 8253-1, as in Tables/audiogram_symbols.csv of the audiology library. Symbols of bone conduction stand beside the line of
/// the frequency, the right ear's to its left and the left ear's to its right, as the ears of a person who is looked at (common practice).
/// </remarks>
/// <param name="Name">Name of the shape.</param>
/// <param name="Glyph">The shape as a character, for words.</param>
/// <param name="Lean">Side to which the arrow of no response points: -1 left, 1 right, 0 straight down.</param>
/// <param name="Beside">Side of the frequency line on which it stands: -1 left, 1 right, 0 upon it.</param>
/// <param name="Reach">Half its height at the nominal radius of 10.</param>
internal sealed record SymbolForm(string Name, string Glyph, int Lean, int Beside, double Reach)
{
    /// <summary>Distance of a symbol beside the line from it.</summary>
    public const double BesideDistance = 16.5;

    private const double Nominal = AudiogramSymbols.Radius;

    private static readonly SymbolForm _circle = new("circle", "O", -1, 0, 10) { Foot = (-7.5, 7.5), Dashes = [5.35, 2.5] };
    private static readonly SymbolForm _cross = new("cross", "X", 1, 0, 9) { Strokes = [[(-9, -9), (9, 9)], [(-9, 9), (9, -9)]], Foot = (7.5, 7.5), Dashes = [5, 2.7, 10.06, 2.7, 5, 0] };
    private static readonly SymbolForm _triangle = new("triangle", "△", -1, 0, 12) { Strokes = [[(0, -12), (10.4, 6), (-10.4, 6)]], Closed = true, Foot = (-10.4, 6), Dashes = [3, 4.4, 6, 4.4, 3, 0] };
    private static readonly SymbolForm _square = new("square", "□", 1, 0, 9) { Strokes = [[(-9, -9), (9, -9), (9, 9), (-9, 9)]], Closed = true, Foot = (9, 9), Dashes = [2.5, 4, 5, 4, 2.5, 0] };
    private static readonly SymbolForm _angleLeft = new("angle pointing left", "<", -1, -1, 8) { Strokes = [[(5.5, -8), (-5.5, 0), (5.5, 8)]], Foot = (0, 4), Dashes = [4.8, 4, 4.8, 0] };
    private static readonly SymbolForm _angleRight = new("angle pointing right", ">", 1, 1, 8) { Strokes = [[(-5.5, -8), (5.5, 0), (-5.5, 8)]], Foot = (0, 4), Dashes = [4.8, 4, 4.8, 0] };
    private static readonly SymbolForm _bracketRight = new("bracket open to right", "[", -1, -1, 9) { Strokes = [[(4, -9), (-4, -9), (-4, 9), (4, 9)]], Foot = (-4, 9), Dashes = [11, 3.5, 5, 3.5, 11, 0] };
    private static readonly SymbolForm _bracketLeft = new("bracket open to left", "]", 1, 1, 9) { Strokes = [[(-4, -9), (4, -9), (4, 9), (-4, 9)]], Foot = (4, 9), Dashes = [11, 3.5, 5, 3.5, 11, 0] };
    private static readonly SymbolForm _vee = new("v shape", "∨", 0, 0, 9) { Strokes = [[(-7, -9), (0, 9), (7, -9)]], Foot = (0, 9), Dashes = [5, 3, 3.3, 3, 5, 0] };
    private static readonly SymbolForm _cornerLeft = new("corner", "┐", -1, -1, 9) { Strokes = [[(-5, -9), (5, -9), (5, 9)]], Foot = (5, 9), Dashes = [4, 3, 7, 3, 4, 3, 4, 0] };
    private static readonly SymbolForm _cornerRight = new("corner", "┌", 1, 1, 9) { Strokes = [[(5, -9), (-5, -9), (-5, 9)]], Foot = (-5, 9), Dashes = [4, 3, 7, 3, 4, 3, 4, 0] };

    /// <summary>Where the arrow of no response begins, from the centre.</summary>
    public (double X, double Y) Foot { get; private init; }

    private (double X, double Y)[][] Strokes { get; init; } = [];

    private bool Closed { get; init; }

    /// <summary>Dashes and gaps along the strokes when it is broken, at the nominal radius; chosen so that corners and ends stay whole.</summary>
    private double[] Dashes { get; init; } = [];

    /// <summary>The symbol of a kind of measurement.</summary>
    public static SymbolForm Of(Ear ear, ConductionRoute route, bool masked) => (route, masked, ear) switch
    {
        (ConductionRoute.Air, false, Ear.Right) => _circle,
        (ConductionRoute.Air, false, _) => _cross,
        (ConductionRoute.Air, true, Ear.Right) => _triangle,
        (ConductionRoute.Air, true, _) => _square,
        (ConductionRoute.BoneMastoid, false, Ear.Right) => _angleLeft,
        (ConductionRoute.BoneMastoid, false, _) => _angleRight,
        (ConductionRoute.BoneMastoid, true, Ear.Right) => _bracketRight,
        (ConductionRoute.BoneMastoid, true, _) => _bracketLeft,
        (_, false, _) => _vee,
        (_, true, Ear.Right) => _cornerLeft,
        (_, true, _) => _cornerRight,
    };

    /// <summary>The colour of a kind of measurement: the ear's, or none where no ear is meant because the vibrator was on the forehead and nothing was masked.</summary>
    public static string ColourOf(Ear ear, ConductionRoute route, bool masked) => route == ConductionRoute.BoneForehead && !masked ? Ink.Text : Ink.Of(ear);

    /// <summary>Draws the shape about a centre.</summary>
    /// <param name="x">Centre across.</param>
    /// <param name="y">Centre down: the level.</param>
    /// <param name="radius">Size; 10 is the usual one.</param>
    /// <param name="pen">Colour, width and dashes.</param>
    public IEnumerable<SvgElement> Draw(double x, double y, double radius, Pen pen)
    {
        var scale = radius / Nominal;
        var dashes = pen.Broken ? Dashes.Select(length => length * scale) : [];
        if (Strokes.Length == 0)
        {
            return [pen.On(SvgElement.Make("circle", ("cx", x), ("cy", y), ("r", radius), ("fill", "none")), dashes)];
        }

        return Strokes.Select(stroke => pen.On(
            stroke.Length == 2
                ? SvgElement.Make("line", ("x1", x + (stroke[0].X * scale)), ("y1", y + (stroke[0].Y * scale)), ("x2", x + (stroke[1].X * scale)), ("y2", y + (stroke[1].Y * scale)))
                : SvgElement.Make(Closed ? "polygon" : "polyline", ("points", SvgElement.Path(stroke.Select(corner => (x + (corner.X * scale), y + (corner.Y * scale))))), ("fill", "none")),
            dashes));
    }
}
