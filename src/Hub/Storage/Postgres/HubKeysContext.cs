using Microsoft.AspNetCore.DataProtection.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Postgres;

/// <summary>The hubs' own keys in the database they share, locked with the key file that each of them has.</summary>
internal sealed class HubKeysContext(DbContextOptions<HubKeysContext> options) : DbContext(options), IDataProtectionKeyContext
{
    /// <inheritdoc />
    public DbSet<DataProtectionKey> DataProtectionKeys => Set<DataProtectionKey>();
}
