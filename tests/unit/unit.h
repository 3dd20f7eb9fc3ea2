/* Shared by the unit tests: one suite per file, run by TEST_MAIN(suite_function). */
#ifndef ENDFEEL_UNIT_H
#define ENDFEEL_UNIT_H

#include <check.h>
#include <stdlib.h>

#define TEST_MAIN(make_suite)                                                                      \
    int main(void)                                                                                 \
    {                                                                                              \
        SRunner *runner = srunner_create(make_suite());                                            \
        srunner_run_all(runner, CK_ENV);                                                           \
        int failed = srunner_ntests_failed(runner);                                                \
        srunner_free(runner);                                                                      \
        return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;                                          \
    }

#endif
