namespace TeleHearing.Contracts;

/// <summary>Reads what somebody sends up to a limit.</summary>
public static class LimitedBody
{
    private const int BlockBytes = 64 * 1024;

    /// <summary>All of it, or its first bytes up to one more than the limit: enough to see that it is too large, and no more is held, whatever its sender says of its length.</summary>
    /// <param name="body">What is sent.</param>
    /// <param name="mostBytes">The limit, bytes.</param>
    /// <param name="cancellationToken">Cancels the reading.</param>
    public static async Task<byte[]> Read(Stream body, int mostBytes, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(body);
        using var held = new MemoryStream();
        var block = new byte[BlockBytes];
        while (held.Length <= mostBytes)
        {
            var read = await body.ReadAsync(block.AsMemory(0, (int)Math.Min(block.Length, mostBytes + 1L - held.Length)), cancellationToken).ConfigureAwait(false);
            if (read == 0)
            {
                break;
            }

            held.Write(block, 0, read);
        }

        return held.ToArray();
    }
}
