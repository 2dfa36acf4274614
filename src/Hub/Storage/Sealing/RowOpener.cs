using Microsoft.EntityFrameworkCore.Diagnostics;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Opens rows as they are read. One for all hubs of a process: which keys count, the context says.</summary>
internal sealed class RowOpener : IMaterializationInterceptor
{
    public static RowOpener Instance { get; } = new();

    public object InitializedInstance(MaterializationInterceptionData materializationData, object entity)
    {
        if (entity is ISealedRow row && materializationData.Context is HubContext context)
        {
            row.Open(context.Seals);
        }

        return entity;
    }
}
