/* How far the bed of a file sinks in six months, and what a question that cannot be answered says.
 *
 *     cargo build --release -p moulder-c
 *     cc -std=c11 -Wall -Wextra -Werror -I crates/moulder-c/include crates/moulder-c/examples/sink.c \
 *         -L target/release -lmoulder_c -Wl,-rpath,target/release -o sink
 *     ./sink examples/beds/bulk-bag.toml
 */
#define _POSIX_C_SOURCE 200809L

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "moulder.h"

/* Stops after so many calls; never where it is below 0. */
static int32_t stop_after(uint32_t done, uint32_t of, void *user) {
    int *left = user;
    (void)done;
    (void)of;
    return *left >= 0 && (*left)-- == 0;
}

/* A text as a string of JSON. */
static void put_string(FILE *out, const char *text) {
    fputc('"', out);
    for (; *text; text++) {
        if (*text == '"' || *text == '\\') {
            fprintf(out, "\\%c", *text);
        } else if ((unsigned char)*text < 0x20) {
            fprintf(out, "\\u%04x", (unsigned)*text);
        } else {
            fputc(*text, out);
        }
    }
    fputc('"', out);
}

static char *question_about(const char *path, int draws) {
    FILE *file = fopen(path, "rb");
    static char bed[256 * 1024 + 1];
    char *question = NULL;
    size_t length = 0;
    if (!file) {
        return NULL;
    }
    bed[fread(bed, 1, sizeof bed - 1, file)] = 0;
    fclose(file);
    FILE *out = open_memstream(&question, &length);
    fprintf(out, "{\"ask\":\"forecast\",\"months\":6,\"draws\":%d,\"bed\":", draws);
    put_string(out, bed);
    fputc('}', out);
    fclose(out);
    return question;
}

/* The last number of that name in an answer. A program of yours has a library for JSON. */
static double last(const char *answer, const char *name) {
    double value = 0.0;
    for (const char *at = answer; (at = strstr(at, name)); at++) {
        value = strtod(at + strlen(name), NULL);
    }
    return value;
}

int main(int argc, char **argv) {
    int never = -1, soon = 3;
    if (argc != 2 || moulder_abi() != MOULDER_ABI) {
        fprintf(stderr, "usage: sink BED\n");
        return 2;
    }
    char *question = question_about(argv[1], 8);
    if (!question) {
        perror(argv[1]);
        return 1;
    }
    char *answer = moulder_ask(question, stop_after, &never);
    if (!strncmp(answer, "{\"refused\":", strlen("{\"refused\":"))) {
        fprintf(stderr, "%s\n", answer);
        moulder_free(answer);
        free(question);
        return 1;
    }
    printf("moulder %s: after six months it lies about %.0f cm below the rim.\n",
           moulder_version(), 100.0 * last(answer, "\"below_rim_m\":{\"mean\":"));
    moulder_free(answer);

    answer = moulder_ask(question, stop_after, &soon);
    printf("stopped: %s\n", answer);
    moulder_free(answer);
    free(question);

    answer = moulder_ask("{\"ask\": \"forecast\", \"moths\": 6}", NULL, NULL);
    printf("at fault: %s\n", answer);
    moulder_free(answer);
    return 0;
}
