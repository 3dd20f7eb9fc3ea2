/* Words for right, left, both, yes and no in the languages a map may declare, and nothing else of
 * them: joints and motions are written in English or pinned by the map. A word of one letter may
 * mean the other side in the next language; so none of these is read undeclared. */
#include "import/cells_int.h"

#include <string.h>

enum { WORD_MAX = 40, BOTH = -1 };

struct foreign {
    enum language language;
    int value; /* enum side, or BOTH */
    const char *words; /* in small letters, parted by '|' */
};

static const struct foreign sides[] = {
    {LANGUAGE_EN, SIDE_RIGHT, "r|rt|right"},
    {LANGUAGE_EN, SIDE_LEFT, "l|lt|left"},
    {LANGUAGE_DE, SIDE_RIGHT, "r|re|rechts|rechte|rechter|rechtes"},
    {LANGUAGE_DE, SIDE_LEFT, "l|li|links|linke|linker|linkes"},
    {LANGUAGE_DE, BOTH, "b|bds|beidseits|beide|beidseitig"},
    {LANGUAGE_ES, SIDE_RIGHT, "d|der|dcha|dcho|derecha|derecho"},
    {LANGUAGE_ES, SIDE_LEFT, "i|izq|izda|izdo|izquierda|izquierdo"},
    {LANGUAGE_ES, BOTH, "ambos|ambas|bilateral"},
    {LANGUAGE_FR, SIDE_RIGHT, "d|dr|dt|droit|droite"},
    {LANGUAGE_FR, SIDE_LEFT, "g|ga|gauche"},
    {LANGUAGE_FR, BOTH, "bilat\xC3\xA9ral|bilat\xC3\xA9rale|bilateral|les deux"},
    {LANGUAGE_NL, SIDE_RIGHT, "r|re|rechts|rechter"},
    {LANGUAGE_NL, SIDE_LEFT, "l|li|links|linker"},
    {LANGUAGE_NL, BOTH, "b|bdz|beide|beiderzijds|beidzijds"},
    {LANGUAGE_IT, SIDE_RIGHT, "d|dx|destra|destro"},
    {LANGUAGE_IT, SIDE_LEFT, "s|sx|sin|sinistra|sinistro"},
    {LANGUAGE_IT, BOTH, "bilaterale|entrambi|entrambe"},
    {LANGUAGE_PT, SIDE_RIGHT, "d|dir|dto|dta|direita|direito"},
    {LANGUAGE_PT, SIDE_LEFT, "e|esq|esquerda|esquerdo"},
    {LANGUAGE_PT, BOTH, "ambos|ambas|bilateral"},
    {LANGUAGE_SV, SIDE_RIGHT, "h|h\xC3\xB6|dx|h\xC3\xB6ger|h\xC3\xB6gra|hoger"},
    {LANGUAGE_SV, SIDE_LEFT, "v|v\xC3\xA4|sin|v\xC3\xA4nster|v\xC3\xA4nstra|vanster"},
    {LANGUAGE_SV, BOTH, "b\xC3\xA5""da|bilat|bilateralt"},
    {LANGUAGE_DA, SIDE_RIGHT, "h|dx|h\xC3\xB8jre|hojre"},
    {LANGUAGE_DA, SIDE_LEFT, "v|sin|venstre"},
    {LANGUAGE_DA, BOTH, "begge|bilat|bilateralt"},
    {LANGUAGE_NO, SIDE_RIGHT, "h|dx|h\xC3\xB8yre|hoyre"},
    {LANGUAGE_NO, SIDE_LEFT, "v|sin|venstre"},
    {LANGUAGE_NO, BOTH, "begge|bilat|bilateralt"},
    {LANGUAGE_PL, SIDE_RIGHT, "p|pr|prawa|prawy|prawe"},
    {LANGUAGE_PL, SIDE_LEFT, "l|lewa|lewy|lewe"},
    {LANGUAGE_PL, BOTH, "obie|oba|obustronnie"},
};

static const struct foreign answers[] = {
    {LANGUAGE_EN, true, "yes|y"},          {LANGUAGE_EN, false, "no|n"},
    {LANGUAGE_DE, true, "ja|j"},           {LANGUAGE_DE, false, "nein|n"},
    {LANGUAGE_ES, true, "s\xC3\xAD|si|s"}, {LANGUAGE_ES, false, "no|n"},
    {LANGUAGE_FR, true, "oui|o"},          {LANGUAGE_FR, false, "non|n"},
    {LANGUAGE_NL, true, "ja|j"},           {LANGUAGE_NL, false, "nee|n"},
    {LANGUAGE_IT, true, "s\xC3\xAC|si|s"}, {LANGUAGE_IT, false, "no|n"},
    {LANGUAGE_PT, true, "sim|s"},          {LANGUAGE_PT, false, "n\xC3\xA3o|nao|n"},
    {LANGUAGE_SV, true, "ja|j"},           {LANGUAGE_SV, false, "nej|n"},
    {LANGUAGE_DA, true, "ja|j"},           {LANGUAGE_DA, false, "nej|n"},
    {LANGUAGE_NO, true, "ja|j"},           {LANGUAGE_NO, false, "nei|n"},
    {LANGUAGE_PL, true, "tak|t"},          {LANGUAGE_PL, false, "nie|n"},
};

/* In small letters, those with accents of Latin-1 too, without brackets round and points behind.
 * False when longer than any word. */
static bool fold(const char *text, char out[WORD_MAX])
{
    size_t n = 0;
    while (*text == '(' || *text == '[' || *text == ' ')
        text++;
    for (bool lead = false; *text != '\0'; text++) {
        unsigned char c = (unsigned char)*text;
        if (n + 1 == WORD_MAX)
            return false;
        bool capital = (c >= 'A' && c <= 'Z') || (lead && c >= 0x80 && c <= 0x9E && c != 0x97);
        lead = c == 0xC3;
        out[n++] = (char)(capital ? c + 0x20 : c);
    }
    while (n > 0 && strchr(")] .", out[n - 1]) != NULL)
        n--;
    out[n] = '\0';
    return true;
}

static bool is_among(const char *word, const char *words)
{
    size_t n = strlen(word);
    for (const char *s = words; n > 0; s++) {
        size_t len = strcspn(s, "|");
        if (len == n && strncmp(s, word, n) == 0)
            return true;
        s += len;
        if (*s == '\0')
            break;
    }
    return false;
}

static const struct foreign *find(const struct foreign *list, size_t n, const char *text,
                                  enum language language)
{
    char word[WORD_MAX];
    if (language == LANGUAGE_UNDECLARED || !fold(text, word))
        return NULL;
    for (size_t i = 0; i < n; i++)
        if (list[i].language == language && is_among(word, list[i].words))
            return &list[i];
    return NULL;
}

bool language_side(const char *text, enum language language, enum side *side, bool *both)
{
    const struct foreign *f = find(sides, ARRAY_LEN(sides), text, language);
    *both = f != NULL && f->value == BOTH;
    *side = f != NULL && !*both ? (enum side)f->value : SIDE_NONE;
    return f != NULL;
}

bool language_yes_no(const char *text, enum language language, bool *yes)
{
    const struct foreign *f = find(answers, ARRAY_LEN(answers), text, language);
    if (f != NULL)
        *yes = f->value != 0;
    return f != NULL;
}

bool language_answers(const char *text)
{
    bool yes, found = false;
    for (int i = LANGUAGE_EN; i < LANGUAGE_COUNT && !found; i++)
        found = language_yes_no(text, (enum language)i, &yes);
    return found;
}

static const char *const codes[LANGUAGE_COUNT] = {
    [LANGUAGE_UNDECLARED] = "", [LANGUAGE_EN] = "en", [LANGUAGE_DE] = "de", [LANGUAGE_ES] = "es",
    [LANGUAGE_FR] = "fr",       [LANGUAGE_NL] = "nl", [LANGUAGE_IT] = "it", [LANGUAGE_PT] = "pt",
    [LANGUAGE_SV] = "sv",       [LANGUAGE_DA] = "da", [LANGUAGE_NO] = "no", [LANGUAGE_PL] = "pl",
};

const char *const *language_codes(size_t *n)
{
    *n = LANGUAGE_COUNT - 1;
    return codes + 1;
}

enum language language_by_code(const char *code)
{
    for (int i = LANGUAGE_EN; i < LANGUAGE_COUNT; i++)
        if (strcmp(codes[i], code) == 0)
            return (enum language)i;
    return LANGUAGE_UNDECLARED;
}
