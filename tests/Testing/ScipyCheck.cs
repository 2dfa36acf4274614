using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Text.Json;

namespace TeleHearing.Testing;

/// <summary>Measures with scipy, in a process of its own: a second opinion that shares no code with the project.</summary>
/// <remarks>
/// A script gets one argument, a folder. It reads <c>input.json</c> there (and any raw sample files beside it) and writes <c>output.json</c>. Samples go as raw
/// little-endian 32-bit floats, which numpy reads with <c>numpy.fromfile(path, "&lt;f4")</c>. A machine without scipy fails the test and is told how to mend it; it never skips.
/// </remarks>
public sealed class ScipyCheck : IDisposable
{
    private const string Python = "/usr/bin/python3";
    private readonly TempFolder _folder = new();

    /// <summary>Path of a file that the script will find beside its input.</summary>
    public string Inside(string name) => _folder.Inside(name);

    /// <summary>Writes samples for the script, in one raw file.</summary>
    public void WriteSamples(string name, ReadOnlySpan<float> samples)
    {
        using var file = File.Create(Inside(name));
        file.Write(MemoryMarshal.AsBytes(samples));
    }

    /// <summary>Writes samples for the script, in one raw file of 64-bit floats.</summary>
    public void WriteSamples(string name, ReadOnlySpan<double> samples)
    {
        using var file = File.Create(Inside(name));
        file.Write(MemoryMarshal.AsBytes(samples));
    }

    /// <summary>Reads 64-bit floats the script wrote raw (<c>array.astype("&lt;f8").tofile(path)</c>).</summary>
    public double[] ReadDoubles(string name) => MemoryMarshal.Cast<byte, double>(File.ReadAllBytes(Inside(name))).ToArray();

    /// <summary>Runs a script and returns what it wrote.</summary>
    /// <param name="script">Path of the script, relative to the test's binaries: the project copies it there.</param>
    /// <param name="input">What the script reads from <c>input.json</c>; property names become camel case.</param>
    /// <param name="cancellationToken">Ends the process.</param>
    /// <exception cref="InvalidOperationException">Python or scipy is missing, or the script failed; the sentence says what to do.</exception>
    public async Task<TOutput> RunAsync<TOutput>(string script, object input, CancellationToken cancellationToken)
    {
        var path = Path.Combine(AppContext.BaseDirectory, script);
        if (!File.Exists(path))
        {
            throw new InvalidOperationException($"The script {path} is not beside the test's binaries. Copy it there from the project file.");
        }

        await File.WriteAllTextAsync(Inside("input.json"), JsonSerializer.Serialize(input, JsonSerializerOptions.Web), cancellationToken);
        var (exitCode, errors) = await StartAsync([path, _folder.Path], cancellationToken);
        if (exitCode != 0)
        {
            throw new InvalidOperationException(errors.Contains("No module named", StringComparison.Ordinal)
                ? $"The independent measurement needs scipy. Install it: apt-get install python3-scipy. Python said: {errors}"
                : $"{script} failed: {errors}");
        }

        await using var output = File.OpenRead(Inside("output.json"));
        return await JsonSerializer.DeserializeAsync<TOutput>(output, JsonSerializerOptions.Web, cancellationToken)
            ?? throw new InvalidOperationException($"{script} wrote no result.");
    }

    /// <summary>Removes the files.</summary>
    public void Dispose() => _folder.Dispose();

    private static async Task<(int ExitCode, string Errors)> StartAsync(IReadOnlyList<string> arguments, CancellationToken cancellationToken)
    {
        if (!File.Exists(Python))
        {
            throw new InvalidOperationException($"The independent measurement needs {Python} with scipy. Install it: apt-get install python3-scipy.");
        }

        using var process = Process.Start(new ProcessStartInfo(Python, arguments) { RedirectStandardError = true, RedirectStandardOutput = true })
            ?? throw new InvalidOperationException($"{Python} did not start.");
        try
        {
            var words = process.StandardOutput.ReadToEndAsync(cancellationToken);
            var errors = await process.StandardError.ReadToEndAsync(cancellationToken);
            await words;
            await process.WaitForExitAsync(cancellationToken);
            return (process.ExitCode, errors);
        }
        finally
        {
            if (!process.HasExited)
            {
                process.Kill(entireProcessTree: true);
            }
        }
    }
}
