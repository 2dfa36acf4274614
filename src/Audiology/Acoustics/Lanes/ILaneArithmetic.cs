using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>The arithmetic of one vector width, so that the filter is written once for all widths.</summary>
/// <typeparam name="TVector">The vector.</typeparam>
internal interface ILaneArithmetic<TVector>
    where TVector : struct
{
    /// <summary>Lanes of a vector.</summary>
    static abstract int Lanes { get; }

    /// <summary>Whether the state of two groups of filters fits into the registers: 32 of them with 512 bits, 16 otherwise.</summary>
    static abstract bool HasRegistersForTwo { get; }

    static abstract TVector Load(ref double first);

    static abstract void Store(TVector vector, ref double first);

    /// <summary>The same number in every lane.</summary>
    static abstract TVector Spread(double value);

    static abstract TVector Add(TVector left, TVector right);

    static abstract TVector Subtract(TVector left, TVector right);

    static abstract TVector Multiply(TVector left, TVector right);

    /// <summary>factor * other + addend.</summary>
    static abstract TVector MultiplyAdd(TVector factor, TVector other, TVector addend);
}

/// <summary>Eight lanes.</summary>
internal readonly struct Lanes512 : ILaneArithmetic<Vector512<double>>
{
    public static int Lanes => Vector512<double>.Count;

    public static bool HasRegistersForTwo => true;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Load(ref double first) => Vector512.LoadUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Vector512<double> vector, ref double first) => vector.StoreUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Spread(double value) => Vector512.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Add(Vector512<double> left, Vector512<double> right) => left + right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Multiply(Vector512<double> left, Vector512<double> right) => left * right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> Subtract(Vector512<double> left, Vector512<double> right) => left - right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector512<double> MultiplyAdd(Vector512<double> factor, Vector512<double> other, Vector512<double> addend) => Vector512.MultiplyAddEstimate(factor, other, addend);
}

/// <summary>Four lanes.</summary>
internal readonly struct Lanes256 : ILaneArithmetic<Vector256<double>>
{
    public static int Lanes => Vector256<double>.Count;

    public static bool HasRegistersForTwo => false;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Load(ref double first) => Vector256.LoadUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Vector256<double> vector, ref double first) => vector.StoreUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Spread(double value) => Vector256.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Add(Vector256<double> left, Vector256<double> right) => left + right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Multiply(Vector256<double> left, Vector256<double> right) => left * right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Subtract(Vector256<double> left, Vector256<double> right) => left - right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> MultiplyAdd(Vector256<double> factor, Vector256<double> other, Vector256<double> addend) => Vector256.MultiplyAddEstimate(factor, other, addend);
}

/// <summary>Two lanes; what is left on a machine without wider vectors.</summary>
internal readonly struct Lanes128 : ILaneArithmetic<Vector128<double>>
{
    public static int Lanes => Vector128<double>.Count;

    public static bool HasRegistersForTwo => false;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Load(ref double first) => Vector128.LoadUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Vector128<double> vector, ref double first) => vector.StoreUnsafe(ref first);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Spread(double value) => Vector128.Create(value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Add(Vector128<double> left, Vector128<double> right) => left + right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Multiply(Vector128<double> left, Vector128<double> right) => left * right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> Subtract(Vector128<double> left, Vector128<double> right) => left - right;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<double> MultiplyAdd(Vector128<double> factor, Vector128<double> other, Vector128<double> addend) => Vector128.MultiplyAddEstimate(factor, other, addend);
}
