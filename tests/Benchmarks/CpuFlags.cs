using System.Runtime.Intrinsics.Arm;
using System.Runtime.Intrinsics.X86;

namespace TeleHearing.Benchmarks;

/// <summary>What the processor can do, as the runtime sees it. A figure of speed means nothing without.</summary>
internal static class CpuFlags
{
    public static string Supported => string.Join(' ', new[]
    {
        ("sse4.2", Sse42.IsSupported), ("avx", Avx.IsSupported), ("fma", Fma.IsSupported), ("avx2", Avx2.IsSupported), ("avx512f", Avx512F.IsSupported),
        ("avx512bw", Avx512BW.IsSupported), ("avx512dq", Avx512DQ.IsSupported), ("avx512vl", Avx512F.VL.IsSupported), ("advsimd", AdvSimd.IsSupported),
    }.Where(flag => flag.Item2).Select(flag => flag.Item1));
}
