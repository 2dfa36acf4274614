using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Kits;

/// <summary>The kits' end of the link: one line a method, no decision.</summary>
[Authorize(IdentityRegistration.KitPolicy)]
internal sealed class KitHub : Hub<IKitClient>;
