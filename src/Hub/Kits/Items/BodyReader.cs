namespace TeleHearing.Hub.Kits.Items;

/// <summary>Reads a request's body up to a limit.</summary>
internal static class BodyReader
{
    /// <summary>The body, or its first bytes up to one more than the limit: enough to see that it is too large, whatever its headers say.</summary>
    public static async Task<byte[]> Read(HttpRequest request, int limit, CancellationToken cancellationToken)
    {
        using var body = new MemoryStream();
        var buffer = new byte[64 * 1024];
        while (body.Length <= limit)
        {
            var read = await request.Body.ReadAsync(buffer.AsMemory(0, (int)Math.Min(buffer.Length, limit + 1 - body.Length)), cancellationToken);
            if (read == 0)
            {
                break;
            }

            body.Write(buffer, 0, read);
        }

        return body.ToArray();
    }
}
