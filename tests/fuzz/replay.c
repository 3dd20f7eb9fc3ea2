/* replay FILE...: gives each file to the fuzz target it is linked with, without the fuzzer, so that
 * inputs which once failed are run by `make check` with any compiler. Prints each name first, so
 * that the last one printed is the one that failed. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int run(const char *path)
{
    struct stat st;
    FILE *f = fopen(path, "rb");
    if (f == NULL || fstat(fileno(f), &st) != 0) {
        perror(path);
        return 3;
    }
    /* A block of exactly that size, so that reading past it shows under the sanitizers. */
    size_t size = (size_t)st.st_size;
    uint8_t *data = malloc(size > 0 ? size : 1);
    if (data == NULL || fread(data, 1, size, f) != size) {
        perror(path);
        return 3;
    }
    fclose(f);
    puts(path);
    fflush(stdout);
    LLVMFuzzerTestOneInput(data, size);
    free(data);
    return 0;
}

int main(int argc, char **argv)
{
    int worst = 0;
    for (int i = 1; i < argc; i++) {
        int status = run(argv[i]);
        worst = status > worst ? status : worst;
    }
    return worst;
}
