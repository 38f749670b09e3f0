/* Work that can be done by somebody else meanwhile: two threads of the operating system, the caller and one hand, and a
 * list of what is offered.
 *
 * A hand takes about a millisecond to come, so it is called when the program begins and then waits for work. Whoever waits
 * for work to be finished does it himself if nobody has begun it, or else does whatever other work is offered.
 *
 * What is done at the same time may share only what none of it changes: nothing in this program that can be written is
 * global, so that it is enough to give each its own arena. */
#ifndef RUNTIME_BASE_CREW_H
#define RUNTIME_BASE_CREW_H

struct crew; /* NULL: nobody but the caller, who then does all in crew_finish() */

struct task {
    void (*work)(void *);
    void *argument;
    struct task *next; /* offered behind this one */
    enum { TASK_NONE, TASK_OFFERED, TASK_BEGUN, TASK_DONE } state;
};

/* NULL where no thread can be had. */
struct crew *crew_new(void);
/* All that was offered must be finished. */
void crew_free(struct crew *);

/* The task and what its work reads must stay where they are until crew_finish(), which must be called. */
void crew_offer(struct crew *, struct task *, void (*work)(void *), void *argument);
/* Returns when the work is done, and what it wrote can be read. Does nothing for a task that was never offered, or is
 * finished already. */
void crew_finish(struct crew *, struct task *);

#endif
