/*
 * The angle cell: one row a form, with the number of the form in the list of messy cells it
 * belongs to (1000: variants of none). What a row expects is written as describe() puts it. Then
 * every cell of the table damaged in small ways: whatever comes, no crash, and never a number
 * beside a status that has none.
 */
#include "unit.h"
#include "cells_describe.h"

#define KF "knee/flexion"
#define KE "knee/extension"
#define A TEST_AROM
#define P TEST_PROM

static const struct {
    int form;
    const char *motion;
    enum test test;
    const char *cell, *expect;
} table[] = {
    {1, KF, A, "120", "120"},
    {1, "elbow/flexion", A, "0142", "142"},
    {1, "shoulder/flexion", A, "165", "165"},
    {1, KF, A, " 120 ", "120"},
    {1, KF, A, "120.", "120"},
    {1, KF, A, "\357\274\221\357\274\222\357\274\220", "120"},
    {2, KF, A, "120\302\260", "120"},
    {2, KF, A, "120 deg", "120"},
    {2, KF, A, "120deg", "120"},
    {2, KF, A, "120 Degrees", "120"},
    {2, KF, A, "120 deg.", "120"},
    {2, KF, A, "120\302\272", "120"},
    {2, KF, A, "120\313\232", "120"},
    {2, KF, A, "120 \302\260", "120"},
    {3, KF, A, "120\303\202\302\260", "120 +encoding-repaired"},
    {3, KF, A, "120\303\202\302\272", "120 +encoding-repaired"},
    {3, KF, A, "120\302\240\302\260", "120 +hard-space"},
    {3, KF, A, "120\357\277\275", "120 +encoding-repaired"},
    {3, KF, A, "120\342\200\211deg", "120 +hard-space"},
    {3, KF, A, "10\303\242\342\202\254\342\200\234120", "10..120 +encoding-repaired"},
    {3, KF, A, "120\302\240", "120"},
    {4, KF, A, "118,5", "118.5 +finer-than-tool"},
    {4, KF, A, "118.5", "118.5 +finer-than-tool"},
    {4, "shoulder/external-rotation", A, "18,5", "18.5 +finer-than-tool"},
    {4, KF, A, "118,0", "118"},
    {4, KF, A, "118.25", "118.25 +finer-than-tool"},
    {4, KF, A, "12.345", "12.35 +finer-than-tool"},
    {4, "jaw/opening", A, "35,5", "35.5"},
    {5, KF, A, "1,180", "held decimal-or-thousands"},
    {5, KF, A, "1.180", "held decimal-or-thousands"},
    {5, KF, A, "118,500", "held decimal-or-thousands"},
    {5, KF, A, "95,97", "held comma-values"},
    {5, KF, A, "95, 97", "held comma-values"},
    {5, KF, A, "95, 97, 96", "held comma-values"},
    {6, KF, A, "~120", "estimated 120 +estimated"},
    {6, KF, A, "approx 120", "estimated 120 +estimated"},
    {6, KF, A, "approx. 120", "estimated 120 +estimated"},
    {6, KF, A, "120 est", "estimated 120 +estimated"},
    {6, KF, A, "est. 120 deg", "estimated 120 +estimated"},
    {6, KF, A, "about 120", "estimated 120 +estimated"},
    {6, KF, A, "ca. 120", "estimated 120 +estimated"},
    {6, KF, A, "\342\211\210120", "estimated 120 +estimated"},
    {6, KF, A, "120 (est)", "estimated 120 +estimated"},
    {6, KF, A, "~120 P!", "estimated 120 pain +estimated"},
    {6, KF, A, "~10-120", "estimated 10..120 +estimated"},
    {6, KF, A, "120 by eye", "estimated 120 +estimated"},
    {6, KF, A, "~1,180", "held decimal-or-thousands"},
    {7, KF, A, ">120", "held limit-not-reading"},
    {7, KF, A, "<90", "held limit-not-reading"},
    {7, KF, A, "90+", "held limit-not-reading"},
    {7, KF, A, "90 +", "held limit-not-reading"},
    {7, KF, A, "\342\211\24590", "held limit-not-reading"},
    {7, KF, A, "over 90", "held limit-not-reading"},
    {7, KF, A, "at least 90", "held limit-not-reading"},
    {7, KF, A, "up to 90", "held limit-not-reading"},
    {7, KF, A, "90 or more", "held limit-not-reading"},
    {7, KF, A, "<90 P!", "held limit-not-reading"},
    {8, KF, A, "10-120", "10..120"},
    {8, KF, A, "10 \342\200\223 120", "10..120"},
    {8, KF, A, "10\342\200\223120", "10..120"},
    {8, KF, A, "10\342\200\224120", "10..120"},
    {8, KF, A, "10\342\210\222120", "10..120"},
    {8, KF, A, "10\342\200\221120", "10..120"},
    {8, KF, A, "10\302\255120", "10..120"},
    {8, KF, A, "10 to 120", "10..120"},
    {8, KF, A, "10 TO 120 deg", "10..120"},
    {8, KF, A, "10\302\260-120\302\260", "10..120"},
    {8, KF, A, "from 10 to 120", "10..120"},
    {8, KF, A, "0-120", "0..120"},
    {8, KF, A, "0 - 120", "0..120"},
    {8, KF, A, "10 thru 120", "10..120"},
    {8, KF, A, "10->120", "held arrow"},
    {8, KF, A, "10 \342\206\222 120", "held arrow"},
    {8, "shoulder/flexion", A, "0-165", "0..165"},
    {8, "wrist/flexion", A, "10-60", "10..60"},
    {8, "jaw/opening", A, "0-40", "0...40"},
    {8, "cervical/rotation", A, "0-70", "0...70"},
    {8, "hip/abduction", A, "5-30", "5..30"},
    {8, KF, A, "10\357\271\243120", "10..120"},
    {8, KF, A, "10\357\274\215120", "10..120"},
    {8, KF, A, "10\342\200\225120", "10..120"},
    {8, KF, A, "10\342\200\211\342\200\223\342\200\211120", "10..120 +hard-space"},
    {8, KF, A, "10=>120", "held arrow"},
    {8, KF, A, "12.5-118.5", "12.5..118.5 +finer-than-tool"},
    {8, "finger-pip/flexion", A, "15-95", "15..95"},
    {8, "elbow/flexion", P, "38-104", "38..104"},
    {9, KF, A, "0/120", "0..120 +slash-from-to"},
    {10, KF, A, "120-0", "0..120 +end-first"},
    {10, KF, A, "120-10", "10..120 +end-first"},
    {10, KF, A, "120 to 0", "0..120 +end-first"},
    {11, KF, A, "120-125", "held range-or-tries"},
    {11, KF, A, "125-120", "held range-or-tries"},
    {11, KF, A, "5-10", "held range-or-tries"},
    {11, KF, A, "110-120", "held range-or-tries"},
    {11, KF, A, "109-120", "109..120"},
    {11, KF, A, "0-8", "0..8"},
    {12, KF, A, "-10-120", "held sign"},
    {12, KF, A, "-10 - 120", "held sign"},
    {12, KF, A, "-10 to 120", "held sign"},
    {12, KF, A, "\342\210\22210\342\200\223120", "held sign"},
    {12, KF, A, "+10-120", "held sign"},
    {12, KF, A, "10--120", "held sign"},
    {12, KF, A, "120 to -5", "held sign"},
    {12, "wrist/flexion", A, "-10-60", "held sign"},
    {13, KF, A, "(10)-120", "held sign"},
    {13, KF, A, "(10) to 120", "held sign"},
    {13, KF, A, "(-10)-120", "held sign"},
    {13, KE, A, "(10)", "held sign"},
    {13, "wrist/extension", A, "(10)", "held sign"},
    {14, KE, A, "-10", "held sign"},
    {14, KE, A, "\342\210\22210", "held sign"},
    {14, KE, A, "\342\200\22310", "held sign"},
    {14, KE, A, "- 10", "held sign"},
    {14, KE, P, "-10", "held sign"},
    {14, "elbow/extension", A, "-10", "held sign"},
    {14, "finger-pip/extension", A, "-10", "held sign"},
    {14, "thumb-mcp/extension", A, "-10", "held sign"},
    {14, "thumb-ip/extension", A, "-10", "held sign"},
    {14, "toe-ip/extension", A, "-10", "held sign"},
    {14, "ankle/dorsiflexion", A, "-10", "-10 +sign-short-of-zero"},
    {14, "ankle/dorsiflexion", A, "\342\200\22310", "-10 +sign-short-of-zero"},
    {14, "wrist/extension", A, "-20", "-20 +sign-short-of-zero"},
    {14, "hip/extension", P, "-10", "-10 +sign-short-of-zero"},
    {14, "shoulder/extension", A, "-5", "-5 +sign-short-of-zero"},
    {14, "cervical/extension", A, "-5", "-5 +sign-short-of-zero"},
    {14, KE, A, "-0", "0"},
    {14, KE, A, "10", "held extension-unsigned"},
    {14, KE, A, "5", "held extension-unsigned"},
    {14, KE, A, "-10\302\260", "held sign"},
    {14, "finger-dip/extension", P, "+10", "held sign"},
    {14, "finger-mcp/extension", A, "-20", "held sign"},
    {14, "ankle/dorsiflexion", A, "5- P!", "held not-understood"},
    {14, "ankle/dorsiflexion", A, "-5 P!", "-5 pain +sign-short-of-zero"},
    {14, "ankle/dorsiflexion", A, "- 5 pain", "-5 pain +sign-short-of-zero"},
    {15, KE, A, "'-10", "held sign"},
    {15, "ankle/dorsiflexion", A, "'-10", "-10 +sign-short-of-zero +apostrophe"},
    {15, KF, A, "'120", "120 +apostrophe"},
    {15, KF, A, "\342\200\231120", "120 +apostrophe"},
    {16, KE, A, "+5", "held sign"},
    {16, "ankle/dorsiflexion", A, "+5", "5"},
    {16, "wrist/extension", A, "+5", "5"},
    {16, KF, A, "+120", "120"},
    {16, "hip/extension", A, "+10", "10"},
    {17, KE, A, "lacks 10", "-10"},
    {17, KE, A, "Lacks 10 deg", "-10"},
    {17, KE, A, "lacking 10", "-10"},
    {17, KE, A, "10 short of 0", "-10"},
    {17, KE, A, "10 short of straight", "-10"},
    {17, KE, A, "10 short", "-10"},
    {17, KE, A, "-10 lack", "-10"},
    {17, KE, A, "lacks -10", "-10"},
    {17, KE, A, "lacks +10", "held sign"},
    {17, KE, A, "10 from neutral", "held lack-unclear"},
    {17, KE, A, "lacks 10 from full extension", "-10"},
    {17, KE, A, "lacks 10 ext", "-10"},
    {17, KE, P, "lacks 10 firm", "-10 firm"},
    {17, "wrist/extension", A, "lacks 20", "-20"},
    {17, "ankle/dorsiflexion", A, "lacks 12", "-12"},
    {17, "forearm/supination", A, "lacks 10", "held lack-unclear"},
    {17, "forearm/supination", A, "10 short of neutral", "-10"},
    {17, KF, A, "lacks 10", "held lack-unclear"},
    {17, KF, A, "10 short of 0", "held lack-unclear"},
    {17, "shoulder/flexion", A, "lacks 10", "held lack-unclear"},
    {17, KE, A, "lacks 10-15", "held not-understood"},
    {17, KE, A, "lacks 0", "0"},
    {17, "jaw/opening", A, "lacks 10", "held lack-unclear"},
    {17, "elbow/extension", P, "lacks 38", "-38"},
    {17, "finger-pip/extension", P, "lacks 25", "-25"},
    {17, KE, A, "LACKS 10\302\260 P!", "-10 pain"},
    {17, KE, A, "~lacks 10", "estimated -10 +estimated"},
    {17, KE, A, "lacks", "held not-understood"},
    {18, KE, A, "lag 10", "held lag"},
    {18, KE, A, "10 lag", "held lag"},
    {18, KE, A, "10 deg quad lag", "held lag"},
    {18, KE, A, "lag 3", "held lag"},
    {18, KE, P, "lag 10", "held lag"},
    {19, KE, P, "FFD 15", "-15"},
    {19, KE, P, "contracture 15", "-15"},
    {19, KE, P, "15 FC", "-15"},
    {19, KE, P, "15 flexion contracture", "-15"},
    {19, KE, P, "FFD 15\302\260", "-15"},
    {19, KE, P, "FFD -15", "-15"},
    {19, KE, A, "FFD 15", "held contracture-active"},
    {19, "hip/extension", P, "FFD 15", "-15"},
    {19, KF, P, "FFD 15", "held lack-unclear"},
    {20, KE, A, "hyper 5", "5"},
    {20, KE, A, "HE 5", "5"},
    {20, KE, A, "5 recurvatum", "5"},
    {20, KE, A, "hyper5", "5"},
    {20, KE, A, "5 hyperextension", "5"},
    {20, KE, A, "5 past 0", "5"},
    {20, KE, A, "past neutral 5", "5"},
    {20, KE, A, "hyper +5", "5"},
    {20, KE, A, "hyper -5", "held sign"},
    {20, KE, A, "hyper 15", "15 +past-usual"},
    {20, KE, A, "hyper 35", "held out-of-range [at most 30 degrees]"},
    {20, KF, A, "hyper 5", "held lack-unclear"},
    {20, "elbow/extension", A, "HE 8", "8"},
    {20, "ankle/dorsiflexion", A, "5 past neutral", "5"},
    {21, KF, A, "0-0-130", "0..130 +neutral-zero-extension-first"},
    {21, "elbow/flexion", A, "0-0-145", "0..145 +neutral-zero-extension-first"},
    {21, KF, A, "0 - 0 - 130", "0..130 +neutral-zero-extension-first"},
    {22, KF, A, "5-0-140", "-5..140 +neutral-zero-extension-first"},
    {22, KF, A, "5\342\200\2230\342\200\223140", "-5..140 +neutral-zero-extension-first"},
    {22, KF, A, "5 to 0 to 140", "-5..140 +neutral-zero-extension-first"},
    {22, KE, A, "5-0-140", "-140..5 +neutral-zero-extension-first"},
    {22, "shoulder/flexion", A, "40-0-170", "-40..170 +neutral-zero-extension-first"},
    {22, "shoulder/flexion", A, "40-0-100", "held neutral-zero-order"},
    {22, "wrist/flexion", A, "60-0-50", "held neutral-zero-order"},
    {22, "wrist/flexion", A, "60-0-60", "-60..60 +neutral-zero-extension-first"},
    {22, "finger-mcp/flexion", A, "20-0-90", "-20..90 +neutral-zero-extension-first"},
    {22, KF, A, "5-0-5", "-5..5 +neutral-zero-extension-first"},
    {22, KF, A, "5-0-8", "held neutral-zero-order"},
    {22, "forearm/supination", A, "125-0-80", "-80..125 +neutral-zero"},
    {22, "cervical/rotation", A, "60-0-60", "held neutral-zero-order"},
    {22, "jaw/opening", A, "0-0-40", "held not-understood"},
    {22, "cervical/rotation", A, "60-0-55", "held neutral-zero-order"},
    {23, KF, A, "140-0-5", "-5..140 +neutral-zero-flexion-first"},
    {23, KE, A, "140-0-5", "-140..5 +neutral-zero-flexion-first"},
    {24, KF, A, "0-10-120", "10..120 +neutral-zero-extension-first"},
    {24, KE, A, "0-10-120", "-120..-10 +neutral-zero-extension-first"},
    {24, KF, A, "0-30-30", "30..30 fixed +fixed-joint +neutral-zero-extension-first"},
    {24, "wrist/flexion", A, "0-10-50", "held neutral-zero-order"},
    {25, KF, A, "5-10-120", "held neutral-zero-without-zero"},
    {25, KF, A, "10-120-0", "held not-understood"},
    {25, KF, A, "-5-0-140", "held sign"},
    {25, KF, A, "200-0-5", "held out-of-range [at most 170 degrees]"},
    {26, KF, P, "fused 30", "30..30 fixed +fixed-joint"},
    {26, KF, P, "ankylosed at 30", "30..30 fixed +fixed-joint"},
    {26, KF, P, "ankylosed at 30 flexion", "30..30 fixed +fixed-joint"},
    {26, KF, P, "fixed at 30\302\260", "30..30 fixed +fixed-joint"},
    {26, KE, P, "fused 30", "held sign"},
    {26, KE, P, "fused at 0", "0..0 fixed +fixed-joint"},
    {26, KF, P, "fused", "held fixed-without-angle"},
    {26, KF, A, "30-30", "held fixed-or-tries"},
    {26, KF, A, "0-0", "0..0 +zero"},
    {26, "finger-dip/flexion", P, "ankylosis 20", "20..20 fixed +fixed-joint"},
    {26, KF, P, "fixed 30", "held not-understood"},
    {26, KF, P, "fused -30", "held sign"},
    {27, KF, A, "118/126", "held pair-order"},
    {27, KF, A, "10/120", "held pair-order"},
    {27, KF, A, "118 / 126", "held pair-order"},
    {28, KF, A, "A118 P126", "held test-inside"},
    {28, KF, P, "A118 P126", "held test-inside"},
    {28, KF, A, "AROM 118, PROM 126", "held test-inside"},
    {28, KF, A, "AROM 118", "118"},
    {28, KF, P, "P126", "126"},
    {28, KF, P, "118 active", "held test-inside"},
    {29, KF, A, "R 118 L 130", "held side-inside"},
    {29, KF, A, "118R/130L", "held side-inside"},
    {29, KF, A, "R 118", "held side-inside"},
    {29, "cervical/rotation", A, "R 60 L 70", "held side-inside"},
    {30, KF, A, "118 P!", "118 pain"},
    {30, KF, A, "118 w/ pain", "118 pain"},
    {30, KF, A, "118 (painful)", "118 pain"},
    {30, KF, A, "118 with pain", "118 pain"},
    {30, KF, A, "118P!", "118 pain"},
    {30, KF, A, "118 p", "118 pain"},
    {30, KF, A, "118 (P)", "118 pain"},
    {30, KF, A, "118, pain", "118 pain"},
    {30, KF, A, "118 - pain", "118 pain"},
    {30, KF, A, "118 + pain", "118 pain"},
    {30, KF, A, "118 end range pain", "118 pain"},
    {30, KF, A, "118 no pain", "118"},
    {30, KF, A, "118 pain-free", "118"},
    {30, KF, A, "118 w/o pain", "118"},
    {30, KF, A, "118 pain 6/10", "held pain-score-inside"},
    {30, KF, A, "0-118 P!", "0..118 pain"},
    {30, KF, A, "painful", "no-angle pain +described-no-angle"},
    {30, KF, A, "118- pain", "held not-understood"},
    {30, KF, A, "118-pain", "118 pain"},
    {30, KF, A, "118 -pain", "118 pain"},
    {31, KF, A, "118*", "118 +asterisk"},
    {31, KF, A, "*118", "118 +asterisk"},
    {31, KF, A, "110*, 112*", "held comma-values"},
    {32, KF, P, "110 firm", "110 firm"},
    {32, KF, P, "110 (hard)", "110 hard"},
    {32, KF, P, "110 soft end feel", "110 soft"},
    {32, KF, P, "110 capsular", "110 firm"},
    {32, KF, P, "110 springy block", "110 springy"},
    {32, KF, P, "110 muscle spasm", "110 spasm"},
    {32, KF, P, "firm 110", "110 firm"},
    {32, KF, P, "110 firm hard", "held not-understood"},
    {32, KF, A, "110 firm", "110 firm +end-feel-active"},
    {33, "shoulder/flexion", P, "95 empty", "95 empty +end-feel-empty"},
    {34, "shoulder/abduction", A, "painful arc 60-120", "no-angle pain arc 60-120 +painful-arc"},
    {34, "shoulder/abduction", A, "PA 60-120", "no-angle pain arc 60-120 +painful-arc"},
    {34, "shoulder/abduction", A, "painful arc from 60 to 120",
     "no-angle pain arc 60-120 +painful-arc"},
    {34, "shoulder/abduction", A, "165 painful arc 60\302\260-120\302\260",
     "165 pain arc 60-120 +painful-arc"},
    {34, "shoulder/abduction", A, "painful arc", "held not-understood"},
    {34, "shoulder/abduction", A, "painful arc 120-60", "held not-understood"},
    {35, KF, A, "WNL", "no-angle +normal-no-angle"},
    {35, KF, A, "full", "no-angle +normal-no-angle"},
    {35, KF, A, "FROM", "no-angle +normal-no-angle"},
    {35, KF, A, "norm", "no-angle +normal-no-angle"},
    {35, KF, A, "Normal", "no-angle +normal-no-angle"},
    {35, KF, A, "full range", "no-angle +normal-no-angle"},
    {35, KF, A, "WNL for age", "no-angle +normal-no-angle"},
    {35, KF, A, "WNL, no pain", "no-angle +normal-no-angle"},
    {35, KF, A, "WNL with pain", "no-angle pain +normal-no-angle"},
    {35, KF, A, "120 WNL", "120 +word-beside-number"},
    {35, KF, A, "WNL (120)", "held sign"},
    {36, KF, A, "WFL", "no-angle +functional-no-angle"},
    {36, KF, A, "functional", "no-angle +functional-no-angle"},
    {37, KF, A, "limited", "no-angle +described-no-angle"},
    {37, KF, A, "mod loss", "no-angle +described-no-angle"},
    {37, KF, A, "dec'd", "no-angle +described-no-angle"},
    {37, KF, A, "tight", "no-angle +described-no-angle"},
    {37, KF, A, "limited by pain", "no-angle pain +described-no-angle"},
    {37, KF, A, "limited to 90", "90 +word-beside-number"},
    {37, KF, A, "limited 20", "held not-understood"},
    {37, KF, A, "limited by 20", "held not-understood"},
    {37, KF, A, "limited: 20", "held not-understood"},
    {37, KF, A, "90 tight", "90 +word-beside-number"},
    {37, KF, A, "dec'd, see note", "no-angle +described-no-angle"},
    {38, KF, A, "75%", "held share"},
    {38, KF, A, "75 %", "held share"},
    {38, KF, A, "3/4", "held share"},
    {38, KF, A, "1/2", "held share"},
    {38, KF, A, "half range", "held share"},
    {38, KF, A, "half", "held share"},
    {38, KF, A, "\302\275", "held share"},
    {38, KF, A, "\302\276 range", "held share"},
    {38, KF, A, "2/3", "held share"},
    {38, KF, A, "4/5", "held grade-in-angle"},
    {39, KF, A, "", "not-recorded +blank"},
    {39, KF, A, "   ", "not-recorded +blank"},
    {39, KF, A, "\302\240", "not-recorded +blank"},
    {40, KF, A, "-", "not-recorded +placeholder"},
    {40, KF, A, "--", "not-recorded +placeholder"},
    {40, KF, A, ".", "not-recorded +placeholder"},
    {40, KF, A, "?", "not-recorded +placeholder"},
    {40, KF, A, "\342\200\224", "not-recorded +placeholder"},
    {40, KF, A, "...", "not-recorded +placeholder"},
    {40, KF, A, "- -", "not-recorded +placeholder"},
    {40, KF, A, "not recorded", "not-recorded +placeholder"},
    {41, KF, A, "n/a", "n/a"},
    {41, KF, A, "N/A", "n/a"},
    {41, KF, A, "na", "n/a"},
    {41, KF, A, "n.a.", "n/a"},
    {41, KF, A, "not applicable", "n/a"},
    {42, KF, A, "NT", "not-tested"},
    {42, KF, A, "DNT", "not-tested"},
    {42, KF, A, "not tested", "not-tested"},
    {42, KF, A, "CNT", "not-tested"},
    {42, KF, A, "nt.", "not-tested"},
    {42, KF, A, "NT 120", "held not-tested-number"},
    {42, KF, A, "120 NT", "held not-tested-number"},
    {43, KF, A, "NT - precautions", "not-tested (precautions)"},
    {43, KF, A, "NT (pain)", "not-tested (pain)"},
    {43, KF, A, "NT: pain", "not-tested (pain)"},
    {43, KF, A, "defer MD", "not-tested (defer MD)"},
    {43, KF, A, "deferred per MD order", "not-tested (deferred per MD order)"},
    {43, KF, A, "NT \342\200\223 week 3 after surgery", "not-tested (week 3 after surgery)"},
    {43, KF, A, "declined", "not-tested (declined)"},
    {43, KF, A, "pain, NT", "not-tested (pain, NT) pain"},
    {43, KF, A, "NT - brace (locked)", "not-tested (brace (locked))"},
    {44, KF, A, "0", "0 +zero"},
    {44, KF, A, "00", "0 +zero"},
    {44, KF, A, "0.0", "0 +zero"},
    {44, KE, A, "0", "0"},
    {44, "elbow/extension", A, "0\302\260", "0"},
    {44, "ankle/dorsiflexion", A, "0", "0 +zero"},
    {44, KF, A, "120-10-0", "10..120 +neutral-zero-flexion-first"},
    {44, KE, A, "5-120", "held pair-in-extension"},
    {44, "elbow/extension", A, "0-5", "held pair-in-extension"},
    {44, "thumb-cmc/opposition", A, "0", "0"},
    {44, "jaw/opening", A, "0 mm", "0 +zero"},
    {44, "hip/abduction", A, "-0", "0 +zero"},
    {45, KF, A, "1180", "held out-of-range [at most 170 degrees]"},
    {45, KF, A, "212", "held out-of-range [at most 170 degrees]"},
    {45, KF, A, "171", "held out-of-range [at most 170 degrees]"},
    {45, KF, A, "170", "170"},
    {45, KE, A, "lacks 175", "held out-of-range [at most 170 degrees]"},
    {45, KF, A, "10-180", "held out-of-range [at most 170 degrees]"},
    {45, "jaw/opening", A, "95", "held out-of-range [at most 80 mm]"},
    {45, "ankle/dorsiflexion", A, "-101", "held out-of-range [at most 100 degrees]"},
    {45, KF, A, "999999999999999999999", "held out-of-range [at most 170 degrees]"},
    {45, "shoulder/flexion", A, "211", "held out-of-range [at most 210 degrees]"},
    {45, "shoulder/flexion", A, "210", "210"},
    {45, "elbow/extension", A, "hyper 31", "held out-of-range [at most 30 degrees]"},
    {45, "ankle/dorsiflexion", A, "61", "held out-of-range [at most 60 degrees]"},
    {45, "ankle/plantar-flexion", A, "50", "50"},
    {45, "thumb-cmc/opposition", A, "13", "held out-of-range [at most 12 cm]"},
    {45, "jaw/protrusion", A, "6", "6"},
    {45, "jaw/lateral-excursion", A, "21 mm", "held out-of-range [at most 20 mm]"},
    {46, KF, A, "12o", "held letter-in-number [120?]"},
    {46, KF, A, "l20", "held letter-in-number [120?]"},
    {46, KF, A, "1O5", "held letter-in-number [105?]"},
    {46, KF, A, "I20", "held letter-in-number [120?]"},
    {46, KF, A, "1l0 P!", "held letter-in-number [110?]"},
    {46, KF, A, "10-12o", "held letter-in-number [120?]"},
    {47, KF, A, "1 20", "held space-in-number"},
    {47, KF, A, "1\302\24020", "held space-in-number"},
    {47, KF, A, "95 97 96", "held space-in-number"},
    {48, KF, A, "same", "held same"},
    {48, KF, A, "ditto", "held same"},
    {48, KF, A, "\"", "held same"},
    {48, KF, A, "\342\200\235", "held same"},
    {48, KF, A, "unch", "held same"},
    {48, KF, A, "see above", "held same"},
    {48, KF, A, "Same as last visit", "held same"},
    {48, KF, A, "120 (unchanged)", "held same"},
    {49, KF, A, "#N/A", "held spreadsheet-error"},
    {49, KF, A, "#REF!", "held spreadsheet-error"},
    {49, KF, A, "#VALUE!", "held spreadsheet-error"},
    {49, KF, A, "#####", "held spreadsheet-error"},
    {50, KF, A, "12-Oct", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "Oct-12", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "2025-10-12", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "5-May", "held date [was it 5-5?]"},
    {50, KF, A, "10/12/2025", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "10.12.2025", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "12-Oct-25", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "12 October 2025", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "Oct 12", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "2025-10-12 00:00:00", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "10/12/25", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "12/Oct/2025", "held date [was it 10-12 or 12-10?]"},
    {50, KF, A, "Mar-05", "held date [was it 3-5 or 5-3?]"},
    {51, KF, A, "45942", "held date-number [was it 10-12 or 12-10?]"},
    {51, KF, A, "44000", "held date-number [was it 6-18 or 18-6?]"},
    {52, KF, A, "=\"120\"", "120 +quoted-formula"},
    {52, KF, A, "=-10", "held formula"},
    {52, KF, A, "=A1+3", "held formula"},
    {52, KE, A, "=\"-10\"", "held sign"},
    {53, KF, A, "95; 97; 96", "96 of 95/97/96 +tries"},
    {53, KF, A, "95;97;96", "96 of 95/97/96 +tries"},
    {53, KF, A, "95; 97; 96;", "96 of 95/97/96 +tries"},
    {53, "shoulder/external-rotation", A, "18,5; 20,5",
     "19.5 of 18.5/20.5 +tries +finer-than-tool"},
    {53, KF, A, "0-95; 0-97", "0..96 of 95/97 +tries"},
    {53, KF, A, "0-95; 5-97", "held tries-mixed"},
    {53, KF, A, "95; ; 97", "held not-understood"},
    {53, KE, A, "-5; -3", "held sign"},
    {53, KE, A, "lacks 5; 3", "-4 of -5/-3 +tries"},
    {53, KF, A, "95; 97 P!", "96 of 95/97 pain +tries"},
    {53, KF, A, "95; 97; firm", "96 of 95/97 firm +tries +end-feel-active"},
    {53, KF, A, "1;2;3;4;5;6;7;8;9;10;11;12;13", "held tries-many"},
    {54, KF, A, "70; 96; 81", "82.33 of 70/96/81 +tries"},
    {55, KF, A, "95/97/96", "held slash-triple"},
    {55, KF, A, "0/0/130", "held slash-triple"},
    {56, "shoulder/internal-rotation", A, "T7", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "L1", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "PSIS", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "iliac crest", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "t10", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "to T10", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "HBB T7", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "T7 level", "no-angle +reach-level"},
    {56, "shoulder/internal-rotation", A, "T7 P!", "no-angle pain +reach-level"},
    {56, "shoulder/internal-rotation", A, "T13", "held not-understood"},
    {56, "shoulder/internal-rotation", A, "l1", "held letter-in-number [11?]"},
    {56, "shoulder/internal-rotation", A, "L20", "held side-inside"},
    {56, KF, A, "T7", "held not-understood"},
    {56, KF, A, "L1", "held side-inside"},
    {57, "trunk/flexion", A, "4 cm", "no-angle +distance"},
    {57, "trunk/flexion", A, "FTF 12cm", "no-angle +distance"},
    {57, "trunk/flexion", A, "12 inches", "no-angle +distance"},
    {57, KF, A, "40 mm", "no-angle +distance"},
    {57, "jaw/opening", A, "35", "35"},
    {57, "jaw/opening", A, "35 mm", "35"},
    {57, "jaw/opening", A, "35mm", "35"},
    {57, "jaw/opening", A, "3.5 cm", "35 +unit-converted"},
    {57, "jaw/opening", A, "35\302\260", "held unit"},
    {57, "jaw/opening", A, "-5", "held out-of-range [at most 80 mm]"},
    {57, "jaw/opening", A, "0", "0 +zero"},
    {57, "thumb-cmc/opposition", A, "4", "4"},
    {57, "thumb-cmc/opposition", A, "4 cm", "4"},
    {57, "thumb-cmc/opposition", A, "4,5 cm", "4.5"},
    {57, "thumb-cmc/opposition", A, "35 mm", "3.5 +unit-converted"},
    {57, "jaw/opening", A, "3 inch", "held unit"},
    {58, "shoulder/external-rotation", A, "62 @90 abd", "62 @90 abduction"},
    {58, "shoulder/external-rotation", A, "62 @ 90\302\260 abd", "62 @90 abduction"},
    {58, "shoulder/external-rotation", A, "62 at 90 abduction", "62 @90 abduction"},
    {58, "shoulder/external-rotation", A, "62 in 90 deg abd", "62 @90 abduction"},
    {58, "shoulder/external-rotation", A, "62 @90", "held not-understood"},
    {58, "shoulder/external-rotation", A, "62 supine", "62 @supine"},
    {58, "shoulder/external-rotation", A, "62 in sitting", "62 @sitting"},
    {58, "shoulder/external-rotation", A, "62 (prone)", "62 @prone"},
    {58, "shoulder/external-rotation", A, "62 sidelying", "62 @side-lying"},
    {58, "shoulder/external-rotation", A, "18 @ side", "18 @arm at side"},
    {58, "shoulder/external-rotation", A, "18 at side", "18 @arm at side"},
    {58, "shoulder/external-rotation", A, "62 supine @90 abd", "62 @supine, 90 abduction"},
    {58, "shoulder/external-rotation", A, "supine: 62", "62 @supine"},
    {58, "wrist/flexion", A, "62 elbow 90", "62 @elbow 90"},
    {58, "shoulder/abduction", A, "62 @90 abd", "held not-understood"},
    {58, "shoulder/flexion", A, "118 P! firm @90 abd",
     "118 pain firm @90 abduction +end-feel-active"},
    {58, "hip/flexion", P, "118 P! firm @90 abd", "118 pain firm @90 abduction"},
    {58, "forearm/pronation", A, "70 elbow flexed", "70 @elbow bent"},
    {58, "hip/internal-rotation", A, "35 prone P!", "35 pain @prone"},
    {58, "hip/internal-rotation", P, "35 firm, seated", "35 firm @sitting"},
    {59, "ankle/dorsiflexion", P, "35 knee bent", "35 @knee bent"},
    {59, "ankle/dorsiflexion", P, "10 (knee straight)", "10 @knee straight"},
    {59, "ankle/dorsiflexion", P, "10 with knee flexed", "10 @knee bent"},
    {59, "ankle/dorsiflexion", P, "10 w/ knee ext", "10 @knee straight"},
    {59, "ankle/dorsiflexion", P, "lacks 6 knee bent", "-6 @knee bent"},
    {1000, KF, A, "118 flex", "118"},
    {1000, KF, A, "118 flexion", "118"},
    {1000, KF, A, "118 ext", "held other-motion"},
    {1000, KF, A, "120?", "held question-mark"},
    {1000, KF, A, "120 with brace", "held not-understood"},
    {1000, KF, A, "brace on", "held not-understood"},
    {1000, KF, A, "120 stitches out", "held not-understood"},
    {1000, KF, A, "10-", "held not-understood"},
    {1000, KF, A, "10 to", "held not-understood"},
    {1000, KF, A, "to 120", "held not-understood"},
    {1000, KF, A, "--10", "held not-understood"},
    {1000, KF, A, "1.2.3", "held not-understood"},
    {1000, KF, A, "120\342\234\223", "held not-understood"},
    {1000, KF, A, "\303\251120", "held not-understood"},
    {1000, KF, A, "10-20-30-40", "held not-understood"},
    {1000, KF, A, "10-20-30-40-50", "held not-understood"},
    {1000, KF, A, "120 / ", "held not-understood"},
    {1000, KF, A, ".5", "held not-understood"},
    {1000, KF, A, "120,", "120"},
    {1000, KF, A, "1e2", "held not-understood"},
    {1000, KF, A, "\331\241\331\242\331\240", "held not-understood"},
    {1000, KF, A, "118 at 5 weeks", "held not-understood"},
    {1000, KF, A, "118 2 weeks", "held not-understood"},
    {1000, KF, A, "minus 10", "held not-understood"},
    {1000, "ankle/dorsiflexion", A, "neutral", "held not-understood"},
    {1000, KE, A, "straight", "held not-understood"},
    {1000, KF, A, "118 knee", "held not-understood"},
    {1000, KF, A, "120\001", "held not-understood"},
    {1000, KF, A, "{120}", "held not-understood"},
    {1000, KF, A, "120 / pain", "held not-understood"},
    {1000, KF, A, "P! 118", "held pain-score-inside"},
    {1000, KF, A, "118 118", "held space-in-number"},
};

#undef A
#undef P

static struct reference *ref;
static struct arena *arena;
static struct buf text;

/* Once for all tests: it takes longer than any of them. */
static void load_reference(void)
{
    struct diag_list problems;
    diag_list_init(&problems);
    ref = reference_load_embedded(&problems.sink);
    ck_assert_ptr_nonnull(ref);
    diag_list_release(&problems);
}

static void release_reference(void)
{
    reference_free(ref);
}

static void setup(void)
{
    arena = arena_new();
    buf_init(&text, 1 << 16);
}

static void teardown(void)
{
    buf_release(&text);
    arena_free(arena);
}

static const struct motion *motion(const char *key)
{
    const char *slash = strchr(key, '/');
    const char *joint = arena_strndup(arena, key, (size_t)(slash - key));
    const struct motion *m = reference_motion(ref, joint, slash + 1);
    ck_assert_msg(m != NULL, "no motion %s", key);
    return m;
}

START_TEST(angle_forms)
{
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(table); i++) {
        cell_angle(table[i].cell, motion(table[i].motion), table[i].test, NULL, arena, &r);
        const char *got = describe(&r, &text);
        ck_assert_msg(strcmp(got, table[i].expect) == 0,
                      "form %d, '%s' of %s: '%s', expected '%s'", table[i].form, table[i].cell,
                      table[i].motion, got, table[i].expect);
        ck_assert_msg(is_sound(&r), "'%s' is not sound", table[i].cell);
    }
}
END_TEST

static void try_one(const char *cell, const struct motion *m, enum test test)
{
    struct value_reading r;
    cell_angle(cell, m, test, NULL, arena, &r);
    ck_assert_msg(is_sound(&r), "'%s' is not sound", cell);
    cell_degrees(cell, m, NULL, arena, &r);
    ck_assert_msg(is_sound(&r), "degrees '%s' is not sound", cell);
}

/* Each cell cut before each byte, and with each byte doubled, dropped, or changed. */
START_TEST(angle_mutations)
{
    static const char other[] = "-+/;~?(%P0 .,";
    char cell[256];
    for (size_t i = 0; i < ARRAY_LEN(table); i++) {
        const char *s = table[i].cell;
        size_t len = strlen(s);
        const struct motion *m = motion(table[i].motion);
        for (size_t k = 0; k < len; k++) {
            snprintf(cell, sizeof cell, "%.*s", (int)k, s);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k + 1, s, s + k);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%s", (int)k, s, s + k + 1);
            try_one(cell, m, table[i].test);
            snprintf(cell, sizeof cell, "%.*s%c%s", (int)k, s, other[(i + k) % (sizeof other - 1)],
                     s + k + 1);
            try_one(cell, m, table[i].test);
        }
        arena_clear(arena);
    }
}
END_TEST

/* A cut may leave another true reading ("12" of "120"), but a sign, a limit or a doubt put to a
 * number must never read as the number itself. */
START_TEST(angle_marks_are_never_dropped)
{
    static const char *const marks[] = {">%s", "<%s", "%s+", "%s?", "%s%%", "%s/", "%s-", "%s x",
                                        "x %s", "%s }", "R %s", "(%s)", "%s same", "#%s", "=%s",
                                        "%s NT", "%s o", "%s 5", "pain %s", "%s to"};
    static const char *const numbers[] = {"1", "45", "120", "90"};
    char cell[64];
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(marks); i++) {
        for (size_t k = 0; k < ARRAY_LEN(numbers); k++) {
            const char *at = strstr(marks[i], "%s");
            int before = (int)(at - marks[i]);
            const char *rest = strcmp(at + 2, "%%") == 0 ? "%" : at + 2;
            snprintf(cell, sizeof cell, "%.*s%s%s", before, marks[i], numbers[k], rest);
            cell_angle(cell, motion(KF), TEST_AROM, NULL, arena, &r);
            ck_assert_msg(r.status == READING_HELD_BACK, "'%s' was read", cell);
        }
    }
}
END_TEST

/* Whatever stands beside a number, it is read as that number or not at all. */
START_TEST(angle_is_kept_whole)
{
    static const char *const beside[] = {
        "%s P!", "%sP!", "%s (P)", "%s - pain", "%s- pain", "%s -pain", "%s + pain", "%s+ pain",
        "%s firm", "%s (hard)", "%s @45 abd", "%s at 45 abd", "@45 abd %s", "%s knee 45",
        "%s supine", "supine %s", "supine - %s", "firm: %s", "%s WNL", "WNL %s", "%s tight",
        "tight %s", "limited to %s", "limited by %s", "~%s", "%s est", "%s deg", "%s, pain",
        "%s; pain", "%s*", "*%s", "%s pain 6", "6 pain %s", "%s @45", "%s 45 abd", "%s past",
        "past %s", "%s short", "%s flex", "%s flexion", "%s with pain", "%s no pain", "%s cm",
        "%s x2", "x2 %s", "%s/5", "%s %%", "%s w/ brace", "%s of 140", "%s to tolerance",
        "%s painful arc 60-90", "%s - 45"};
    static const char *const numbers[] = {"20", "60", "118"};
    char cell[64];
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(beside); i++) {
        for (size_t k = 0; k < ARRAY_LEN(numbers); k++) {
            int before = (int)(strstr(beside[i], "%s") - beside[i]);
            const char *after = beside[i] + before + 2;
            snprintf(cell, sizeof cell, "%.*s%s%s", before, beside[i], numbers[k], after);
            cell_angle(cell, motion(KF), TEST_AROM, NULL, arena, &r);
            double n = strtod(numbers[k], NULL);
            bool pair = strstr(beside[i], "- 45") != NULL && r.start.has;
            ck_assert_msg(!r.end.has || r.end.value == n || (pair && r.end.value >= n),
                          "'%s' was read as %g", cell, r.end.value);
        }
    }
}
END_TEST

START_TEST(angle_every_motion)
{
    for (size_t i = 0; i < reference_motion_count(ref); i++) {
        const struct motion *m = reference_motion_at(ref, i);
        for (size_t k = 0; m->rom && k < ARRAY_LEN(table); k++)
            try_one(table[k].cell, m, table[k].test);
        arena_clear(arena);
    }
}
END_TEST

START_TEST(angle_long_cells)
{
    static const char *const pieces[] = {"1", "1;", "1-", "P! ", "(", " ", "\342\200\223", "l",
                                         "supine ", "NT ", "-", "\303\202\302\260"};
    for (size_t i = 0; i < ARRAY_LEN(pieces); i++) {
        struct buf cell;
        buf_init(&cell, 1 << 17);
        while (cell.len < 60000)
            buf_adds(&cell, pieces[i]);
        try_one(buf_text(&cell), motion(KF), TEST_AROM);
        buf_release(&cell);
        arena_clear(arena);
    }
}
END_TEST

START_TEST(degrees_forms)
{
    static const struct {
        const char *motion, *cell, *expect;
    } rows[] = {
        {KE, "-10", "-10"},
        {KE, "8", "8"},
        {KE, "+8", "8"},
        {KE, "\342\210\22210", "-10"},
        {KE, "0", "0"},
        {KE, "-0", "0"},
        {KF, "118,5", "118.5"},
        {KF, "118.5", "118.5"},
        {KF, "120\302\260", "120"},
        {KF, "", "not-recorded +blank"},
        {KF, "-", "not-recorded +placeholder"},
        {KF, "NT - pain", "not-tested (pain)"},
        {KF, "n/a", "n/a"},
        {KF, "WNL", "held not-understood"},
        {KF, "120 P!", "held not-understood"},
        {KF, "1 20", "held not-understood"},
        {KF, "10-120", "held not-understood"},
        {KF, "12o", "held letter-in-number"},
        {KF, "1,180", "held decimal-or-thousands"},
        {KF, "18,50", "held comma-values"},
        {KF, "12-Oct", "held date"},
        {KF, "212", "held out-of-range [at most 170 degrees]"},
        {KE, "31", "held out-of-range [at most 30 degrees]"},
        {KE, "-171", "held out-of-range [at most 170 degrees]"},
        {KF, "=A1", "held formula"},
        {KF, "#REF!", "held spreadsheet-error"},
        {KF, "same", "held same"},
        {"jaw/opening", "-4", "held out-of-range [at most 80 mm]"},
        {"jaw/opening", "40\302\260", "held not-understood"},
    };
    struct value_reading r;
    for (size_t i = 0; i < ARRAY_LEN(rows); i++) {
        cell_degrees(rows[i].cell, motion(rows[i].motion), NULL, arena, &r);
        ck_assert_str_eq(describe(&r, &text), rows[i].expect);
    }
}
END_TEST

static Suite *suite(void)
{
    Suite *s = suite_create("import: angle cells");
    TCase *c = tcase_create("angle");
    tcase_add_unchecked_fixture(c, load_reference, release_reference);
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, angle_forms);
    tcase_add_test(c, angle_mutations);
    tcase_add_test(c, angle_marks_are_never_dropped);
    tcase_add_test(c, angle_is_kept_whole);
    tcase_add_test(c, angle_every_motion);
    tcase_add_test(c, angle_long_cells);
    tcase_add_test(c, degrees_forms);
    suite_add_tcase(s, c);
    return s;
}

TEST_MAIN(suite)
