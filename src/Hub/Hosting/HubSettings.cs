namespace TeleHearing.Hub.Hosting;

/// <summary>Everything that can be set about a hub. One data folder holds all it keeps.</summary>
public sealed record HubSettings
{
    /// <summary>Folder of the database, the keys of the cookies and the log files. Made when absent.</summary>
    public required string DataFolder { get; init; }

    /// <summary>Name of the variable of the environment from which <see cref="KeyFile"/> is taken when nothing else is given.</summary>
    public const string KeyFileVariable = "TELEHEARING_KEY_FILE";

    /// <summary>File whose content, 32 bytes or more, locks the hub's own keys; absent: they lie open in the folder's <c>keys</c>, guarded by the rights of files alone.</summary>
    public string? KeyFile { get; init; } = Environment.GetEnvironmentVariable(KeyFileVariable) is { Length: > 0 } file ? file : null;

    /// <summary>Name of the variable of the environment from which <see cref="Database"/> is taken when nothing else is given.</summary>
    public const string DatabaseVariable = "TELEHEARING_DATABASE";

    /// <summary>Connection to a PostgreSQL database that hubs share; absent: SQLite in the data folder, for one hub alone.</summary>
    public string? Database { get; init; } = Environment.GetEnvironmentVariable(DatabaseVariable) is { Length: > 0 } database ? database : null;

    /// <summary>Whether other hubs may run on the same database.</summary>
    public bool IsShared => Database is not null;

    /// <summary>Name of the variable of the environment from which <see cref="Redis"/> is taken when nothing else is given.</summary>
    public const string RedisVariable = "TELEHEARING_REDIS";

    /// <summary>Redis between hubs on one database, in the form of StackExchange.Redis; absent: there is one hub on it.</summary>
    public string? Redis { get; init; } = Environment.GetEnvironmentVariable(RedisVariable) is { Length: > 0 } redis ? redis : null;

    /// <summary>Name of the variable of the environment from which <see cref="SharedFolder"/> is taken when nothing else is given.</summary>
    public const string SharedFolderVariable = "TELEHEARING_SHARED_FOLDER";

    /// <summary>Folder of the files that hubs on one database share: photos, the list of erasures, the settings of exchange. Absent: the data folder.</summary>
    public string? SharedFolder { get; init; } = Environment.GetEnvironmentVariable(SharedFolderVariable) is { Length: > 0 } folder ? folder : null;

    /// <summary>Where those files are.</summary>
    public string FilesFolder => SharedFolder ?? DataFolder;

    /// <summary>Addresses to listen on, separated by semicolons. Port 0 takes a free one.</summary>
    public string Urls { get; init; } = "http://127.0.0.1:5080";

    /// <summary>Whether a proxy that ends TLS stands before the hub, so that people and kits come by HTTPS although the hub hears plain HTTP.</summary>
    public bool BehindTlsProxy { get; init; }

    /// <summary>The hub's own certificate: PEM, or PKCS #12 in a .pfx or .p12 file. Absent: the hub speaks plain HTTP.</summary>
    public string? CertificateFile { get; init; }

    /// <summary>Key of a PEM certificate; absent when it stands in the same file.</summary>
    public string? CertificateKeyFile { get; init; }

    /// <summary>File with the password of the certificate's key; absent when it has none.</summary>
    public string? CertificatePasswordFile { get; init; }

    /// <summary>How people of an organisation sign in with their accounts there; absent: they do not.</summary>
    public Identity.Organisation.OrganisationSettings? Organisation { get; init; }

    /// <summary>Whether the console's files are served.</summary>
    public bool ServeConsole { get; init; } = true;

    /// <summary>Whether log lines go to standard output besides the log file.</summary>
    public bool LogToConsole { get; init; } = true;

    /// <summary>After a hold, a stop or a lost link longer than this, the room and the side proof are repeated. 10 min by design.</summary>
    public TimeSpan GapLimit { get; init; } = TimeSpan.FromMinutes(10);

    /// <summary>How long control of a session lives without its holder's console being heard; then it lapses and the session is held. 45 s by design: four missed renewals.</summary>
    public TimeSpan ControlLife { get; init; } = TimeSpan.FromSeconds(45);

    /// <summary>The longest a command may wait between console and kit; an expiry further ahead is brought down to it.</summary>
    public TimeSpan CommandLife { get; init; } = TimeSpan.FromSeconds(5);

    /// <summary>How often a silent kit connection is pinged.</summary>
    public TimeSpan KitKeepAlive { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>How long a kit may be silent before its link counts as lost.</summary>
    public TimeSpan KitTimeout { get; init; } = TimeSpan.FromMilliseconds(2500);

    /// <summary>How long a sign-in link can be used.</summary>
    public TimeSpan SignInLinkLife { get; init; } = TimeSpan.FromHours(12);

    /// <summary>How long a console may be without a key or the pointer before it covers itself. 10 min by default.</summary>
    public TimeSpan IdleLimit { get; init; } = TimeSpan.FromMinutes(10);

    /// <summary>How long an invitation to set up an account can be used.</summary>
    public TimeSpan InvitationLife { get; init; } = TimeSpan.FromDays(3);

    /// <summary>How long a kit's enrolment code can be used.</summary>
    public TimeSpan EnrolmentCodeLife { get; init; } = TimeSpan.FromHours(24);

    /// <summary>How long the hub lets running calls finish when it shuts down.</summary>
    public TimeSpan ShutdownLimit { get; init; } = TimeSpan.FromSeconds(5);

    /// <summary>Says everything that is wrong with the settings at once.</summary>
    public IReadOnlyList<string> Faults()
    {
        var faults = new List<string>();
        void Need(bool holds, string sentence)
        {
            if (!holds)
            {
                faults.Add(sentence);
            }
        }

        Need(!string.IsNullOrWhiteSpace(DataFolder), "DataFolder is empty: name the folder the hub keeps its data in.");
        Need(!string.IsNullOrWhiteSpace(Urls), "Urls is empty: name at least one address, e.g. http://127.0.0.1:5080.");
        Need(GapLimit > TimeSpan.Zero, "GapLimit must be longer than zero.");
        Need(ControlLife >= TimeSpan.FromSeconds(20) && ControlLife <= TimeSpan.FromMinutes(10), "ControlLife must be 20 s to 10 min: consoles renew it every 10 s.");
        Need(CommandLife > TimeSpan.Zero && CommandLife <= TimeSpan.FromMinutes(1), "CommandLife must be above zero and at most one minute.");
        Need(KitKeepAlive > TimeSpan.Zero && KitTimeout >= KitKeepAlive * 2, "KitTimeout must be at least twice KitKeepAlive.");
        Need(SignInLinkLife > TimeSpan.Zero, "SignInLinkLife must be longer than zero.");
        Need(InvitationLife > TimeSpan.Zero, "InvitationLife must be longer than zero.");
        Need(EnrolmentCodeLife > TimeSpan.Zero, "EnrolmentCodeLife must be longer than zero.");
        Need(IdleLimit >= TimeSpan.FromMinutes(1) && IdleLimit <= TimeSpan.FromHours(12), "IdleLimit must be from one minute to twelve hours.");
        Need(Database is null || KeyFile is not null, $"A database outside the data folder also holds the keys that open it: lock them with a file named in {KeyFileVariable}, the same for every hub.");
        Need(Redis is null || Database is not null, $"Redis stands between hubs on one database, and no database is named: name it in {DatabaseVariable}, or leave Redis out.");
        faults.AddRange(Transport.Faults(this));
        faults.AddRange(Organisation?.Faults() ?? []);
        return faults;
    }
}
