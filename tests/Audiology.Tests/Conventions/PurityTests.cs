using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Runtime.CompilerServices;

namespace TeleHearing.Audiology.Tests.Conventions;

/// <summary>The library computes and does nothing else: no clock, no chance of its own, no input or output, nothing public that can be changed.</summary>
public sealed class PurityTests
{
    private static readonly Assembly _assembly = typeof(HearingLevel).Assembly;

    private static readonly string[] _bannedMembers =
    [
        "System.DateTime.get_Now", "System.DateTime.get_UtcNow", "System.DateTime.get_Today",
        "System.DateTimeOffset.get_Now", "System.DateTimeOffset.get_UtcNow",
        "System.TimeProvider.get_System", "System.Environment.get_TickCount", "System.Environment.get_TickCount64", "System.Environment.GetEnvironmentVariable",
        "System.Random..ctor()", "System.Random.get_Shared", "System.Guid.NewGuid",
    ];

    private static readonly string[] _bannedTypes =
    [
        "System.Diagnostics.Stopwatch", "System.Console", "System.IO.File", "System.IO.Directory", "System.IO.FileStream",
        "System.Threading.Thread", "System.Threading.Timer", "System.Threading.Tasks.Task",
    ];

    [Fact]
    public void ItRefersToTheBaseLibraryAlone()
    {
        var runtime = Path.GetDirectoryName(typeof(object).Assembly.Location)!;

        Assert.All(_assembly.GetReferencedAssemblies(), name => Assert.True(
            name.Name!.StartsWith("System.", StringComparison.Ordinal) && File.Exists(Path.Combine(runtime, name.Name + ".dll")),
            $"{name.Name} is not part of the base library."));
        Assert.DoesNotContain(_assembly.GetReferencedAssemblies(), name => name.Name!.StartsWith("System.Net", StringComparison.Ordinal));
    }

    [Fact]
    public void ItReadsNoClockAndMakesNoChance()
    {
        var used = UsedMembers().ToList();

        Assert.Contains("System.Math.Pow", used);
        Assert.Empty(used.Intersect(_bannedMembers));
        Assert.DoesNotContain(used, member => _bannedTypes.Any(type => member.StartsWith(type + ".", StringComparison.Ordinal)));
    }

    [Fact]
    public void NothingPublicCanBeChangedFromOutside()
    {
        var open = _assembly.GetExportedTypes().SelectMany(type => OpenMembers(type).Select(member => $"{type.Name}.{member}"));

        Assert.Empty(open);
    }

    [Fact]
    public void TheCheckFindsATypeThatCanBeChanged()
    {
        Assert.Equal(["Field", "Property"], OpenMembers(typeof(Changeable)));
    }

    [Fact]
    public void NoStaticFieldIsLeftOpenToChange()
    {
        var open = _assembly.GetTypes()
            .Where(type => !type.IsDefined(typeof(CompilerGeneratedAttribute)))
            .SelectMany(type => type.GetFields(BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.DeclaredOnly))
            .Where(field => !field.IsInitOnly && !field.IsLiteral && !field.Name.StartsWith('<'));

        Assert.Empty(open);
    }

    [Fact]
    public void EveryPublicClassIsSealedOrAClosedSet()
    {
        var open = _assembly.GetExportedTypes().Where(type =>
            type.IsClass && !type.IsSealed && type.GetConstructors(BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic)
                .Any(constructor => constructor.IsPublic || constructor.IsFamilyOrAssembly || (constructor.IsFamily && constructor.GetParameters().Length == 0)));

        Assert.Empty(open);
    }

    private static IEnumerable<string> OpenMembers(Type type)
    {
        const BindingFlags all = BindingFlags.Instance | BindingFlags.Static | BindingFlags.Public | BindingFlags.DeclaredOnly;
        var fields = type.IsEnum ? [] : type.GetFields(all).Where(field => !field.IsInitOnly && !field.IsLiteral).Select(field => field.Name);
        var properties = type.GetProperties(all)
            .Where(property => property.SetMethod is { IsPublic: true } setter
                && !setter.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit)))
            .Select(property => property.Name);
        return [.. fields, .. properties];
    }

    private static IEnumerable<string> UsedMembers()
    {
        using var file = new PEReader(File.OpenRead(_assembly.Location));
        var metadata = file.GetMetadataReader();
        foreach (var handle in metadata.MemberReferences)
        {
            var member = metadata.GetMemberReference(handle);
            if (member.Parent.Kind != HandleKind.TypeReference)
            {
                continue;
            }

            var type = metadata.GetTypeReference((TypeReferenceHandle)member.Parent);
            var name = $"{metadata.GetString(type.Namespace)}.{metadata.GetString(type.Name)}.{metadata.GetString(member.Name)}";

            // A constructor without parameters is told apart, since it is the unseeded one that is banned of Random.
            var parameters = metadata.GetBlobReader(member.Signature);
            parameters.ReadSignatureHeader();
            yield return name.EndsWith("..ctor", StringComparison.Ordinal) && parameters.ReadCompressedInteger() == 0 ? name + "()" : name;
        }
    }

    private sealed class Changeable
    {
        public int Field = 1;

        public int Property { get; set; }

        public int Kept { get; init; }
    }
}
