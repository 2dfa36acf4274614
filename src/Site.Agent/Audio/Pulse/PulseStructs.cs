using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Pulse;

// Laid out as in the headers pulse/sample.h, channelmap.h, volume.h, def.h and introspect.h of PulseAudio, unchanged since version 1.0 in the fields read here.

[StructLayout(LayoutKind.Sequential)]
internal struct SampleSpec
{
    public const int Integer16Little = 3;
    public const int Integer16Big = 4;
    public const int Float32Little = 5;
    public const int Float32Big = 6;
    public const int Integer32Little = 7;
    public const int Integer32Big = 8;
    public const int Integer24Little = 9;
    public const int Integer24Big = 10;
    public const int Integer24In32Little = 11;
    public const int Integer24In32Big = 12;

    public int Format;
    public uint RateHz;
    public byte Channels;

    public readonly SampleForm Form => Format switch
    {
        Float32Little or Float32Big => SampleForm.Float32,
        Integer32Little or Integer32Big => SampleForm.Integer32,
        Integer24Little or Integer24Big or Integer24In32Little or Integer24In32Big => SampleForm.Integer24,
        Integer16Little or Integer16Big => SampleForm.Integer16,
        _ => SampleForm.Other,
    };
}

[StructLayout(LayoutKind.Sequential)]
internal unsafe struct ChannelMap
{
    public const int MostChannels = 32;
    public const int Mono = 0;
    public const int FrontLeft = 1;
    public const int FrontRight = 2;

    public byte Channels;
    public fixed int Positions[MostChannels];
}

[StructLayout(LayoutKind.Sequential)]
internal unsafe struct ChannelVolume
{
    /// <summary>Samples pass unchanged; people see it as 100 %.</summary>
    public const double Unchanged = 0x10000;

    public byte Channels;
    public fixed uint Values[ChannelMap.MostChannels];
}

[StructLayout(LayoutKind.Sequential)]
internal struct BufferAttributes
{
    /// <summary>The server's own choice.</summary>
    public const uint Default = uint.MaxValue;

    public uint MaximumBytes;
    public uint TargetBytes;
    public uint PrebufferBytes;
    public uint MinimumRequestBytes;
    public uint FragmentBytes;
}

/// <summary>A sink or a source: both are described alike as far as they are read here.</summary>
[StructLayout(LayoutKind.Sequential)]
internal unsafe struct DeviceInfo
{
    public byte* Name;
    public uint Index;
    public byte* Description;
    public SampleSpec Spec;
    public ChannelMap Map;
    public uint OwnerModule;
    public ChannelVolume Volume;
    public int Mute;
    public uint MonitorIndex;
    public byte* MonitorName;
    public ulong LatencyMicroseconds;
    public byte* Driver;
    public int Flags;
    public nint Properties;
    public ulong ConfiguredLatencyMicroseconds;
    public uint BaseVolume;
    public int State;
    public uint VolumeSteps;
    public uint Card;
    public uint PortCount;
    public nint Ports;
    public PortInfo* ActivePort;
}

[StructLayout(LayoutKind.Sequential)]
internal unsafe struct PortInfo
{
    /// <summary>Nothing is plugged into it.</summary>
    public const int Unplugged = 1;

    public byte* Name;
    public byte* Description;
    public uint Priority;
    public int Available;
}

[StructLayout(LayoutKind.Sequential)]
internal unsafe struct SinkInputInfo
{
    public uint Index;
    public byte* Name;
    public uint OwnerModule;
    public uint Client;
    public uint Sink;
    public SampleSpec Spec;
    public ChannelMap Map;
    public ChannelVolume Volume;
    public ulong BufferMicroseconds;
    public ulong SinkMicroseconds;
    public byte* ResampleMethod;
    public byte* Driver;
    public int Mute;
    public nint Properties;
    public int Corked;
    public int HasVolume;
}

/// <summary>What records from a source.</summary>
[StructLayout(LayoutKind.Sequential)]
internal unsafe struct SourceOutputInfo
{
    public uint Index;
    public byte* Name;
    public uint OwnerModule;
    public uint Client;
    public uint Source;
    public SampleSpec Spec;
    public ChannelMap Map;
    public ulong BufferMicroseconds;
    public ulong SourceMicroseconds;
    public byte* ResampleMethod;
    public byte* Driver;
    public nint Properties;
    public int Corked;
    public ChannelVolume Volume;
    public int Mute;
}

[StructLayout(LayoutKind.Sequential)]
internal unsafe struct ServerInfo
{
    public byte* UserName;
    public byte* HostName;
    public byte* ServerVersion;
    public byte* ServerName;
    public SampleSpec Spec;
    public byte* DefaultSink;
    public byte* DefaultSource;
}
