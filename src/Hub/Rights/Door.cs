namespace TeleHearing.Hub.Rights;

/// <summary>Names of the ways into the hub: an address, a method of a SignalR hub, a request of the mediator, a command. The rights table lists them by these names.</summary>
internal static class Door
{
    /// <summary>Files of the console and of the sign-in pages, which tell nothing of anyone.</summary>
    public const string Files = "files";

    private const string RequestMark = "request ";

    /// <summary>An address, e.g. "GET /api/me".</summary>
    /// <param name="method">HTTP method; "*" when all are taken.</param>
    /// <param name="route">Route as mapped.</param>
    public static string Http(string method, string route) => $"{method} /{route.TrimStart('/')}";

    /// <summary>The addresses of an endpoint, one for each of its methods.</summary>
    public static IReadOnlyList<string> Http(RouteEndpoint endpoint)
    {
        var route = endpoint.RoutePattern.RawText ?? string.Empty;
        return endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods is { Count: > 0 } methods
            ? [.. methods.Select(method => Http(method, route))]
            : [Http("*", route)];
    }

    /// <summary>A method of a hub.</summary>
    public static string Method<THub>(string name) => Method(typeof(THub), name);

    /// <inheritdoc cref="Method{THub}"/>
    public static string Method(Type hub, string name) => $"{hub.Name}.{name}";

    /// <summary>A request of the mediator.</summary>
    public static string Request<TRequest>() => Request(typeof(TRequest));

    /// <inheritdoc cref="Request{TRequest}"/>
    public static string Request(Type request) => RequestMark + request.Name;

    /// <summary>Whether a door is a request of the mediator, which answers a refusal in words and in its own type.</summary>
    public static bool IsRequest(string door) => door.StartsWith(RequestMark, StringComparison.Ordinal);

    /// <summary>A command.</summary>
    /// <param name="command">Its type.</param>
    /// <param name="when">What narrows it, e.g. "from a session".</param>
    public static string Command(Type command, string? when = null) => when is null ? $"command {command.Name}" : $"command {command.Name} {when}";

    /// <inheritdoc cref="Command(Type, string?)"/>
    public static string Command<TCommand>(string? when = null) => Command(typeof(TCommand), when);
}
