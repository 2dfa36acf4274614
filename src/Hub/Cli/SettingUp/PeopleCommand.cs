using System.CommandLine;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.People;

namespace TeleHearing.Hub.Cli.SettingUp;

/// <summary>The verbs <c>people add</c> and <c>people link</c>: who works with the hub, and how they get in.</summary>
internal static class PeopleCommand
{
    public static Command Make(TimeProvider clock) => new("people", "the people who work with a hub") { Add(clock), Link(clock) };

    private static Command Add(TimeProvider clock)
    {
        var (name, address, data) = (Name(), Address(), OpenedHub.Data());
        var role = Choice.Option("--role", "what they do", Roles.Clinician, Roles.Coordinator, Roles.Owner, Roles.Assistant);
        var command = new Command("add", "enter a person and print a single-use link to set up their account") { name, role, address, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var who = parsed.GetRequiredValue(name);
            if ((await OpenedHub.PeopleNamed(services, who, cancellationToken)).Count > 0)
            {
                throw new CliFault($"{who} is in this hub already. Nothing was changed. Use people link for a new link, or write the name so that the two can be told apart.");
            }

            var id = PeopleAdmin.NewId();
            string[] roles = [parsed.GetRequiredValue(role)];
            await services.GetRequiredService<AuditTrail>().Act(AuditActs.PersonEntered, null, about: [$"person {id}", PeopleAdmin.InWords(roles)]);
            await services.GetRequiredService<PeopleAdmin>().Enter(who, roles, cancellationToken, id);
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"{who} is entered as {parsed.GetRequiredValue(role)}.");
            await PrintLink(parsed, services, who, id, parsed.GetRequiredValue(address), cancellationToken);
        })));
        return command;
    }

    private static Command Link(TimeProvider clock)
    {
        var (name, address, data) = (Name(), Address(), OpenedHub.Data());
        var command = new Command("link", "print a new single-use link for a person to set up their account anew") { name, address, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => OpenedHub.Work(parsed.GetRequiredValue(data), clock, async services =>
        {
            var who = parsed.GetRequiredValue(name);
            var found = await OpenedHub.PeopleNamed(services, who, cancellationToken);
            if (found.Count != 1)
            {
                throw new CliFault($"There {(found.Count == 0 ? "is nobody" : "are several people")} named {who} in this hub. Nothing was changed.");
            }

            await PrintLink(parsed, services, who, found[0], parsed.GetRequiredValue(address), cancellationToken);
        })));
        return command;
    }

    private static async Task PrintLink(ParseResult parsed, IServiceProvider services, string name, string id, Uri address, CancellationToken cancellationToken)
    {
        await services.GetRequiredService<AuditLog>().Write(new AuditEntry(AuditActs.LinkPrinted, null, null, [$"person {id}"], null));
        var (path, _) = await services.GetRequiredService<Invitations>().Issue(id, cancellationToken);
        await parsed.InvocationConfiguration.Output.WriteLineAsync($"set-up link for {name}, good once, hand it over in private: {new Uri(address, path)}");
        await parsed.InvocationConfiguration.Output.WriteLineAsync($"It leads to {address}. When browsers reach the hub elsewhere, print it with --address.");
    }

    private static Argument<string> Name()
    {
        var name = new Argument<string>("name") { Description = "name as others see it" };
        name.Validators.Add(result => OpenedHub.RequireText(result, "The name", result.GetValue(name)));
        return name;
    }

    private static Option<Uri> Address() => new("--address")
    {
        Description = "address at which browsers reach the hub, for the link",
        DefaultValueFactory = _ => new Uri("http://localhost:5080"),
        CustomParser = result =>
        {
            if (Uri.TryCreate(result.Tokens[0].Value, UriKind.Absolute, out var address) && address.Scheme is "http" or "https")
            {
                return address;
            }

            result.AddError("--address must begin with http:// or https://.");
            return null!;
        },
    };
}
