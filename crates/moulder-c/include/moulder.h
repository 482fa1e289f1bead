/* moulder: how deep garden beds sink. Questions and answers are JSON; the README tells of both.
 *
 * Link with -lmoulder_c. All functions may be called from any thread, many at once.
 */

#ifndef MOULDER_H
#define MOULDER_H

#include <stdint.h>

/*
 Version of this interface: it changes when a program has to be built again.
 */
#define MOULDER_ABI 1

/*
 Called while a question is answered, with how much of it is done and of how much: from any
 thread, never two at once. Anything but 0 stops it, and the answer is then `"stopped"`.
 */
typedef int32_t (*MoulderProgress)(uint32_t done, uint32_t of, void *user);

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

/*
 Answers a question: JSON in UTF-8 that ends with a 0 byte. The answer is JSON too:
 `{"answer": ..}` or `{"refused": {"code", "message", "faults"}}`, with the `"id"` of the question
 where it has one. It is never null and is given back with `moulder_free`.

 `progress` may be null; `user` is handed to it.

 # Safety

 `question` is null or ends with a 0 byte; `progress` does not unwind.
 */
char *moulder_ask(const char *question, MoulderProgress progress, void *user);

/*
 Gives an answer back; null does nothing.

 # Safety

 `answer` is null or came from `moulder_ask`, and is given back once.
 */
void moulder_free(char *answer);

/*
 Version of the library, as in "0.1.0"; it is not given back.
 */
const char *moulder_version(void);

/*
 Version of the interface that the library has: `MOULDER_ABI` of its header.
 */
uint32_t moulder_abi(void);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* MOULDER_H */
