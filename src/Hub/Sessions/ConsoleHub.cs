using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Sessions;

/// <summary>The consoles' end of the link: one line a method, no decision.</summary>
[Authorize(IdentityRegistration.PersonPolicy)]
internal sealed class ConsoleHub(Board board) : Hub<IConsoleClient>
{
    public Task<BoardView> WatchBoard() => board.Read(Board.SeesSessions(PersonCaller.From(Context.User!)), Context.ConnectionAborted);
}
