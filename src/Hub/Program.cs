var builder = WebApplication.CreateBuilder(args);
builder.WebHost.UseStaticWebAssets();
var app = builder.Build();
app.MapStaticAssets();
app.MapFallbackToFile("index.html");
await app.RunAsync();
