using TeleHearing.Contracts;

namespace TeleHearing.Hub.Consent;

/// <summary>The Spanish texts, the same thoughts as the English ones.</summary>
internal static class SpanishConsentTexts
{
    private static ConsentText Spanish(ConsentPurpose purpose, string title, params string[] paragraphs) =>
        new(purpose, "es", 1, title, string.Join("\n\n", paragraphs), "Acepto", "No acepto", "Ya no acepto");

    public static IReadOnlyList<ConsentText> All { get; } =
    [
        Spanish(
            ConsentPurpose.Care,
            "¿Acepta que le hagan una prueba de audición?",
            "Un profesional va a probar su oído. Usted se pone unos auriculares y aprieta un botón cuando oye un sonido. No duele.",
            "Puede decir que no. Puede parar en cualquier momento y no tiene que decir por qué. Si dice que no, podemos atenderle de otra manera.",
            "Lo que se mide se guarda en su historia. La ley del lugar donde vive dice cuánto tiempo se guarda y qué puede pedir usted."),
        Spanish(
            ConsentPurpose.RemoteMode,
            "¿Acepta hacer la prueba a distancia?",
            "El profesional no está en la misma habitación. Se ven y se oyen por internet, y un equipo en su mesa toca los sonidos.",
            "Si la línea se corta, el sonido para enseguida. El profesional le llama entonces por teléfono y le dice qué sigue.",
            "Algunas cosas se ven mejor en persona. Usted puede elegir una visita en persona. La ley del lugar donde vive puede poner más reglas para la atención a distancia."),
        Spanish(
            ConsentPurpose.Assistant,
            "¿Acepta que un ayudante esté con usted?",
            "Un ayudante puede estar en la habitación, ayudarle con el equipo y oír lo que usted y el profesional dicen.",
            "Puede decir que no, y puede pedirle que salga en cualquier momento. Entonces quizá algunas partes de la prueba no se puedan hacer hoy."),
        Spanish(
            ConsentPurpose.Images,
            "¿Acepta que se tomen imágenes?",
            "El profesional puede querer ver su oído en una imagen y guardarla en su historia.",
            "Puede decir que no. Entonces no se toma ninguna imagen y quizá le pidan que venga en persona."),
        Spanish(
            ConsentPurpose.Recording,
            "¿Acepta que se grabe la sesión?",
            "El profesional puede querer grabar el sonido o la imagen de esta sesión. La pantalla se lo dice mientras se graba.",
            "Puede decir que no. La prueba es la misma sin grabar. La ley del lugar donde vive puede prohibir grabar sin su permiso."),
        Spanish(
            ConsentPurpose.Sharing,
            "¿Podemos dar sus resultados a otras personas?",
            "Si usted lo acepta, la clínica puede dar sus resultados a otros que le atienden, como su médico. El profesional le dice a quién.",
            "Puede decir que no. Entonces los resultados se quedan en la clínica. En pocos casos la ley puede obligarnos a comunicar algo; se lo decimos cuando es así."),
        Spanish(
            ConsentPurpose.Loan,
            "¿Acepta que le prestemos el equipo?",
            "El equipo se queda con usted unos días. Es de la clínica. Guárdelo en un lugar seco y seguro, y devuélvalo el día que le dijeron.",
            "No abra el equipo ni su batería. Llámenos si algo está roto, caliente o falta. La ley del lugar donde vive dice qué debe usted si se pierde."),
    ];
}
