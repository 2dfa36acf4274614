using System.Collections;
using System.Reflection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>An assistant's picture is made of an allowed list: whatever else a session's picture has, also what is added to it later, is not in it.</summary>
public sealed class TaskPictureTests
{
    /// <summary>What of a session an assistant sees while a task is lent. A name is added here only with a reason to show it to them.</summary>
    private static readonly string[] _lent =
    [
        nameof(SessionView.SessionId), nameof(SessionView.Version), nameof(SessionView.DecisiveVersion), nameof(SessionView.HubTime), nameof(SessionView.Integrity),
        nameof(SessionView.Person), nameof(SessionView.Place), nameof(SessionView.PlannedStart), nameof(SessionView.Kit), nameof(SessionView.Stage), nameof(SessionView.Control),
        nameof(SessionView.Moves), nameof(SessionView.Step), nameof(SessionView.Room), nameof(SessionView.SideProof), nameof(SessionView.Worn), nameof(SessionView.Message), nameof(SessionView.HelpWanted),
    ];

    /// <summary>What is left when the task is theirs no more.</summary>
    private static readonly string[] _over =
    [
        nameof(SessionView.SessionId), nameof(SessionView.Version), nameof(SessionView.DecisiveVersion), nameof(SessionView.HubTime), nameof(SessionView.Integrity),
        nameof(SessionView.Person), nameof(SessionView.Kit), nameof(SessionView.Stage), nameof(SessionView.Control),
    ];

    public static TheoryData<string> Properties => [.. typeof(SessionView).GetProperties().Where(property => property.CanWrite).Select(property => property.Name)];

    [Theory]
    [MemberData(nameof(Properties))]
    public void NothingOutsideTheListIsInThePicture(string name)
    {
        var property = typeof(SessionView).GetProperty(name)!;
        var whole = Filled(property);
        Assert.False(IsNothing(property.GetValue(whole)), $"{name} is empty in the whole picture, so it shows nothing.");

        Assert.True(_lent.Contains(name) || IsNothing(property.GetValue(TaskPicture.Of(whole, "ada"))), $"{name} is shown to an assistant.");
        Assert.True(_over.Contains(name) || IsNothing(property.GetValue(TaskPicture.Of(whole, "stranger"))), $"{name} is shown after the task.");
    }

    [Fact]
    public void NeitherReferralNorTrialsNorWhoElseAsksIsShown()
    {
        var step = new StepView(StepId.New(), new MeasureRoomStep(10), true, null, null, null, [Samples.Trial()]);
        var whole = View() with { Step = step, Moves = [new Move("hold", true, null), new Move("measure-room", true, null), new Move("prove-sides", true, null), new Move("advance", true, null)] };

        var picture = TaskPicture.Of(whole, "ada");

        Assert.Equal(string.Empty, picture.Person.Referral);
        Assert.Empty(picture.Step!.Trials);
        Assert.Equal((0, null, null), (picture.Control.Requests.Count, picture.Control.Offer, picture.Control.OpenHandoff));
        Assert.Equal(["hold", "measure-room"], picture.Moves.Select(move => move.Name));
        Assert.Null(TaskPicture.Of(whole with { Step = step with { Request = new PresentToneStep(Ear.Left, 1000, 40, Audiology.Signals.ToneShape.Steady, 1000) } }, "ada").Step);

        var over = TaskPicture.Of(whole, "stranger");
        Assert.Equal((string.Empty, "The task is over", null), (over.Person.Reference, over.Person.Name, over.Control.HolderId));
    }

    /// <summary>A picture in which a property says something, whatever its type.</summary>
    private static SessionView Filled(PropertyInfo property)
    {
        var view = View();
        if (IsNothing(property.GetValue(view)))
        {
            property.SetValue(view, Something(property.PropertyType));
        }

        return view;
    }

    private static object Something(Type type)
    {
        type = Nullable.GetUnderlyingType(type) ?? type;
        if (type == typeof(string))
        {
            return "something";
        }

        if (type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>))
        {
            var list = Array.CreateInstance(type.GetGenericArguments()[0], 1);
            return list;
        }

        return type == typeof(bool) ? true : type.IsEnum ? Enum.GetValues(type).GetValue(1)! : System.Runtime.CompilerServices.RuntimeHelpers.GetUninitializedObject(type);
    }

    private static bool IsNothing(object? value) => value switch
    {
        null or "" or false => true,
        ICollection list => list.Count == 0,
        _ => value.GetType().IsValueType && value.Equals(Activator.CreateInstance(value.GetType())),
    };

    private static SessionView View()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new RequestControl("to help"), PureSession.Ivo);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));
        var plan = new SessionPlanFacts(new PersonTested("P-0001", "Ottilie Brandvold", new DateOnly(1950, 1, 2), "hears less"), "at home", session.Now, session.State.KitId, "maren");
        return SessionViewBuilder.Build(new LoadedSession(session.State, plan, new IntegrityView(true, null), []), session.Facts);
    }
}
