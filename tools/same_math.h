#ifndef TOOLS_SAME_MATH_H
#define TOOLS_SAME_MATH_H

// The system's mathematical functions differ in the last bit between processors: it picks them by what a processor can do. Two calls
// make them the same on every x86-64, by starting the program anew with the plainest ones.

// At the start: what an earlier start left in the environment is put back.
void same_math_begin(char **argv);

// Starts the program anew unless that has been done; returns when it need not be done, or cannot (said as a warning).
void same_math_ask(void);

#endif
