using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>A button pressed under a question of consent.</summary>
/// <param name="Question">The question that stood above the button.</param>
/// <param name="Given">Whether the person agrees to it.</param>
public sealed record ConsentPressed(ConsentQuestion Question, bool Given);
