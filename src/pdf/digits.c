/* Numbers in decimal, two digits a step. */
#include "pdf/pdf_int.h"

const char pdf_pairs[] =
    "000102030405060708091011121314151617181920212223242526272829"
    "303132333435363738394041424344454647484950515253545556575859"
    "606162636465666768697071727374757677787980818283848586878889"
    "90919293949596979899";

char *pdf_long_digits(char *to, unsigned n)
{
    to = pdf_digits(to, n / 100);
    memcpy(to, pdf_pairs + (size_t)2 * (n % 100), 2);
    return to + 2;
}
