/* The spellings of a cell, for other commands that take a joint and a motion. */
#include "import/import.h"
#include "import/vocabulary_int.h"

const struct motion *import_motion(const struct reference *ref, const char *joint,
                                   const char *motion)
{
    return vocabulary_motion(ref, joint, motion);
}
