using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Runtime.CompilerServices;

namespace TeleHearing.Testing;

/// <summary>What a library that only computes must not have: a clock, chance of its own, input or output, anything public that can be changed. Each method gives what was found.</summary>
public sealed class PureLibrary(Assembly assembly)
{
    private static readonly string[] _bannedMembers =
    [
        "System.DateTime.get_Now", "System.DateTime.get_UtcNow", "System.DateTime.get_Today",
        "System.DateTimeOffset.get_Now", "System.DateTimeOffset.get_UtcNow",
        "System.TimeProvider.get_System", "System.TimeZoneInfo.get_Local", "System.TimeZoneInfo.FindSystemTimeZoneById",
        "System.Environment.get_TickCount", "System.Environment.get_TickCount64", "System.Environment.GetEnvironmentVariable",
        "System.Random..ctor()", "System.Random.get_Shared", "System.Guid.NewGuid", "System.Guid.CreateVersion7",
    ];

    private static readonly string[] _bannedTypes =
    [
        "System.Diagnostics.Stopwatch", "System.Console", "System.IO.File", "System.IO.Directory", "System.IO.FileStream",
        "System.Threading.Thread", "System.Threading.Timer", "System.Threading.Tasks.Task",
    ];

    /// <summary>References to anything but the base library, and to the network.</summary>
    public IReadOnlyList<string> ForeignReferences()
    {
        var runtime = Path.GetDirectoryName(typeof(object).Assembly.Location)!;
        return
        [
            .. assembly.GetReferencedAssemblies().Select(reference => reference.Name!).Where(name =>
                !name.StartsWith("System.", StringComparison.Ordinal)
                || name.StartsWith("System.Net", StringComparison.Ordinal)
                || !File.Exists(Path.Combine(runtime, name + ".dll"))),
        ];
    }

    /// <summary>Members of the base library it uses, as Type.Member; a constructor without parameters ends in "()".</summary>
    public IReadOnlyList<string> UsedMembers()
    {
        using var file = new PEReader(File.OpenRead(assembly.Location));
        var metadata = file.GetMetadataReader();
        var used = new List<string>();
        foreach (var member in metadata.MemberReferences.Select(metadata.GetMemberReference).Where(member => member.Parent.Kind == HandleKind.TypeReference))
        {
            var type = metadata.GetTypeReference((TypeReferenceHandle)member.Parent);
            var name = $"{metadata.GetString(type.Namespace)}.{metadata.GetString(type.Name)}.{metadata.GetString(member.Name)}";

            // A constructor without parameters is told apart, since it is the unseeded one that is banned of Random.
            var parameters = metadata.GetBlobReader(member.Signature);
            parameters.ReadSignatureHeader();
            used.Add(name.EndsWith("..ctor", StringComparison.Ordinal) && parameters.ReadCompressedInteger() == 0 ? name + "()" : name);
        }

        return used;
    }

    /// <summary>Clocks, unseeded chance, files, threads and the machine's own settings among those.</summary>
    public IReadOnlyList<string> BannedMembers() =>
        [.. UsedMembers().Where(member => _bannedMembers.Contains(member) || _bannedTypes.Any(type => member.StartsWith(type + ".", StringComparison.Ordinal)))];

    /// <summary>Public fields and properties that can be set from outside.</summary>
    public IReadOnlyList<string> OpenMembers() => [.. assembly.GetExportedTypes().SelectMany(type => OpenMembers(type).Select(member => $"{type.Name}.{member}"))];

    /// <summary>The same of one type.</summary>
    public static IReadOnlyList<string> OpenMembers(Type type)
    {
        const BindingFlags all = BindingFlags.Instance | BindingFlags.Static | BindingFlags.Public | BindingFlags.DeclaredOnly;
        var fields = type.IsEnum ? [] : type.GetFields(all).Where(field => !field.IsInitOnly && !field.IsLiteral).Select(field => field.Name);
        var properties = type.GetProperties(all)
            .Where(property => property.SetMethod is { IsPublic: true } setter
                && !setter.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit)))
            .Select(property => property.Name);
        return [.. fields, .. properties];
    }

    /// <summary>Static fields that can be set.</summary>
    public IReadOnlyList<string> OpenStaticFields() =>
    [
        .. assembly.GetTypes()
            .Where(type => !type.IsDefined(typeof(CompilerGeneratedAttribute)))
            .SelectMany(type => type.GetFields(BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.DeclaredOnly))
            .Where(field => !field.IsInitOnly && !field.IsLiteral && !field.Name.StartsWith('<'))
            .Select(field => $"{field.DeclaringType!.Name}.{field.Name}"),
    ];

    /// <summary>Public classes that others may derive from.</summary>
    public IReadOnlyList<string> OpenClasses() =>
    [
        .. assembly.GetExportedTypes()
            .Where(type => type.IsClass && !type.IsSealed && type.GetConstructors(BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic)
                .Any(constructor => constructor.IsPublic || constructor.IsFamilyOrAssembly || (constructor.IsFamily && constructor.GetParameters().Length == 0)))
            .Select(type => type.Name),
    ];
}
