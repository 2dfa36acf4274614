using Microsoft.AspNetCore.Components.WebAssembly.Services;
using Microsoft.JSInterop;

namespace TeleHearing.Clinician.Web.Kits.Scan;

/// <summary>Reads the pattern of a label out of a picture of the camera, where the browser cannot. What it needs is loaded when it is first wanted: it would make the first load of the console slower for everybody.</summary>
public sealed class PatternReader(LazyAssemblyLoader loader)
{
    private bool _loaded;

    /// <summary>Loads it. False when it cannot be loaded.</summary>
    public async Task<bool> Load(CancellationToken cancellationToken)
    {
        if (_loaded)
        {
            return true;
        }

        try
        {
            await loader.LoadAssembliesAsync(["zxing.wasm"]).WaitAsync(cancellationToken);
            _loaded = true;
        }
        catch (Exception fault) when (fault is HttpRequestException or JSException or InvalidOperationException)
        {
            // Not reached: the page says that typing goes on working.
        }

        return _loaded;
    }

    /// <summary>The text of a pattern in a picture of one byte a pixel; absent when there is none. Only to be called once it is loaded.</summary>
    public string? Read(byte[] grey, int width, int height) =>
        _loaded && width > 0 && height > 0 && grey.Length == width * height ? QrPicture.Read(grey, width, height) : null;
}
