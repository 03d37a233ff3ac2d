// Driver: process state (signals, GSL's handler, limits) is set here once; then the command table
// takes over.
#include "atomic.h"
#include "commands.h"
#include "same_math.h"
#include "say.h"
#include "shown.h"
#include "version.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_version.h>

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

volatile sig_atomic_t stop_signal;

int stop_status(void)
{
  return stop_signal == SIGTERM ? EXIT_TERMINATED : stop_signal ? EXIT_INTERRUPTED : 0;
}

// First signal: ask the work to end. Second one: leave at once, taking the unfinished files away.
static void on_signal(int number)
{
  if (stop_signal) {
    output_remove_in_signal();
    _exit(number == SIGTERM ? EXIT_TERMINATED : EXIT_INTERRUPTED);
  }
  stop_signal = number;
}

static void signals_start(void)
{
  struct sigaction action = {
      .sa_handler = on_signal}; // no SA_RESTART: a read that waits for a person ends
  sigaction(SIGINT, &action, NULL);
  sigaction(SIGTERM, &action, NULL);
  signal(SIGPIPE, SIG_IGN); // a closed pipe is a failed write, found when standard output is closed
  signal(SIGXFSZ, SIG_IGN); // so is a file past its limit
}

static int version_print(void)
{
  printf("dampfork %s (GSL %s)\nLicence GPL-3.0-or-later. No warranty: figures are a model's.\n",
         DAMPFORK_VERSION, gsl_version);
  return EXIT_DONE;
}

static int arguments_check(const struct call *call)
{
  const struct command *command = call->command;
  if (call->argument_n < command->least) {
    say_error("%s needs %s", command->name, command->takes);
    say_note("dampfork %s --help has examples", command->name);
    return EXIT_USAGE;
  }
  if (command->most >= 0 && call->argument_n > command->most) {
    if (command->most)
      say_error("%s takes %d at most, the word %d is '%s'", command->name, command->most,
                command->most + 1, call->arguments[command->most]);
    else say_error("%s takes no arguments", command->name);
    return EXIT_USAGE;
  }
  return 0;
}

static int command_run(const struct command *command, int argc, char **argv)
{
  struct call *call = calloc(1, sizeof *call);
  char **rest = calloc(argc + 1, sizeof *rest);
  int status = EXIT_OUTPUT;
  if (!call || !rest) {
    say_error("out of memory");
    goto done;
  }
  call->command = command;
  call->arguments = rest;
  status = options_parse(&call->options, &command->options, command->name, argc, argv, 0, rest,
                         &call->argument_n);
  if (status) goto done;
  if (option_given(&call->options, OPT_QUIET)) say_be_quiet();
  if (option_given(&call->options, OPT_HELP)) {
    help_command(command);
    goto done;
  }
  if (option_given(&call->options, OPT_VERSION)) {
    version_print();
    goto done;
  }
  call->digits = (int)option_number(&call->options, OPT_DIGITS, 9);
  call->format = option_word(&call->options, OPT_FORMAT, FORMAT_TEXT);
  if (!strcmp(option_text(&call->options, OPT_KERNEL, ""), "baseline")) same_math_ask();
  status = arguments_check(call);
  if (!status) status = shown_start(call);
  if (!status) status = command->run(call);
done:
  units_drop();
  free(rest);
  free(call);
  return status;
}

// Standard output must have taken everything: a full disk is a failure, a closed pipe a quiet one.
static int output_close(int status)
{
  int bad = ferror(stdout);
  errno = 0;
  if (fclose(stdout)) bad = 1;
  if (!bad) return status;
  if (errno != EPIPE)
    say_error("standard output: %s", errno ? strerror(errno) : "could not be written");
  return EXIT_OUTPUT;
}

static int dispatch(int argc, char **argv)
{
  static const enum option_id own[] = {OPT_HELP, OPT_VERSION, OPTIONS};
  static const struct option_set first = {0, own};
  struct options options = {0};
  char **rest = calloc(argc + 1, sizeof *rest);
  int n = 0;
  int status = rest ? options_parse(&options, &first, NULL, argc, argv, 1, rest, &n) : EXIT_OUTPUT;
  if (status) goto done;
  if (option_given(&options, OPT_VERSION)) status = version_print();
  else if (option_given(&options, OPT_HELP)) help_overview();
  else if (!n) help_usage(), status = EXIT_USAGE;
  else {
    const struct command *command = command_find(rest[0]);
    if (command) status = command_run(command, n, rest);
    else {
      say_error("no command '%s'", rest[0]);
      say_did_you_mean("dampfork ", command_nearest(rest[0]));
      say_note("dampfork --help lists the commands");
      status = EXIT_USAGE;
    }
  }
done:
  free(rest);
  return status;
}

// A standard stream that was closed must not become the number of a file we open: hold its place by
// something that fails.
static void streams_hold(void)
{
  for (int i = 0; i < 3; i++)
    if (fcntl(i, F_GETFD) < 0 && open("/dev/null", i ? O_RDONLY : O_WRONLY) < 0) _exit(EXIT_OUTPUT);
}

int main(int argc, char **argv)
{
  streams_hold();
  same_math_begin(argv);
  say_start();
  signals_start();
  gsl_set_error_handler_off();
  int status = dispatch(argc, argv);
  if (status == EXIT_OUTPUT && !say_errors()) say_no_memory();
  if (say_memory_was_short() && (status == EXIT_DONE || status == EXIT_CHECK_SAID_NO)) status = EXIT_OUTPUT;
  status = output_close(status);
  output_discard_all();
  return stop_status() ? stop_status() : status;
}
