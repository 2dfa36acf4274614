using System.Buffers;
using System.Diagnostics.CodeAnalysis;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;

namespace TeleHearing.Hub.Hosting;

/// <summary>SignalR's JSON, put together as a whole before it is handed to a connection. Written piece by piece, every long text asks the connection for room for the most it could take, three to six times what it does, and a reader that stands still keeps all of that.</summary>
/// <param name="json">Says what a message looks like.</param>
internal sealed class WholeMessages(JsonHubProtocol json) : IHubProtocol
{
    public string Name => json.Name;

    public int Version => json.Version;

    public TransferFormat TransferFormat => json.TransferFormat;

    public bool IsVersionSupported(int version) => json.IsVersionSupported(version);

    public bool TryParseMessage(ref ReadOnlySequence<byte> input, IInvocationBinder binder, [NotNullWhen(true)] out HubMessage? message) => json.TryParseMessage(ref input, binder, out message);

    public ReadOnlyMemory<byte> GetMessageBytes(HubMessage message) => json.GetMessageBytes(message);

    public void WriteMessage(HubMessage message, IBufferWriter<byte> output)
    {
        using var whole = new LentBuffer();
        json.WriteMessage(message, whole);
        output.Write(whole.Written);
    }

    /// <summary>One piece of memory that is lent and grows.</summary>
    private sealed class LentBuffer : IBufferWriter<byte>, IDisposable
    {
        /// <summary>Room at the beginning, in bytes (design): most messages fit.</summary>
        private const int First = 4096;

        private byte[] _bytes = ArrayPool<byte>.Shared.Rent(First);
        private int _written;

        public ReadOnlySpan<byte> Written => _bytes.AsSpan(0, _written);

        public void Advance(int count) => _written += count;

        public Memory<byte> GetMemory(int sizeHint = 0)
        {
            Grow(Math.Max(sizeHint, 1));
            return _bytes.AsMemory(_written);
        }

        public Span<byte> GetSpan(int sizeHint = 0) => GetMemory(sizeHint).Span;

        public void Dispose() => ArrayPool<byte>.Shared.Return(_bytes);

        private void Grow(int room)
        {
            if (_bytes.Length - _written >= room)
            {
                return;
            }

            var larger = ArrayPool<byte>.Shared.Rent(Math.Max(_bytes.Length * 2, _written + room));
            Written.CopyTo(larger);
            ArrayPool<byte>.Shared.Return(_bytes);
            _bytes = larger;
        }
    }
}
