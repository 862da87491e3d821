/* A plugin for the emulator (QEMU's TCG plugins, interface version 1): counts the instructions of
 * every call of some functions, what they call included.
 *
 *   -plugin libcount_instructions.so,out=FILE[,apart=ADDRESS],NAME=ADDRESS[,NAME=ADDRESS...]
 *
 * At exit FILE holds a line each: name, calls, instructions in all, least, worst, number of the
 * worst call. Calls that pass through the function at `apart` stand in a line of their own, NAME+.
 * They are instructions, not cycles: no flash, no pipeline is emulated. No function may call
 * another one that is counted, nor be entered by a jump; a last line "unsound" says so.
 *
 * Debian ships no header for plugins, so what is used of it is declared here. */

#include <inttypes.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef uint64_t qemu_plugin_id_t;
struct qemu_info_t;
struct qemu_plugin_tb;
struct qemu_plugin_insn;
enum qemu_plugin_cb_flags { QEMU_PLUGIN_CB_NO_REGS };

typedef void (*TranslatedCallback)(qemu_plugin_id_t, struct qemu_plugin_tb*);
typedef void (*ExecutedCallback)(unsigned, void*);
typedef void (*ExitCallback)(qemu_plugin_id_t, void*);
void qemu_plugin_register_vcpu_tb_trans_cb(qemu_plugin_id_t, TranslatedCallback);
void qemu_plugin_register_vcpu_tb_exec_cb(struct qemu_plugin_tb*, ExecutedCallback,
                                          enum qemu_plugin_cb_flags, void*);
void qemu_plugin_register_atexit_cb(qemu_plugin_id_t, ExitCallback, void*);
size_t qemu_plugin_tb_n_insns(const struct qemu_plugin_tb*);
uint64_t qemu_plugin_tb_vaddr(const struct qemu_plugin_tb*);
struct qemu_plugin_insn* qemu_plugin_tb_get_insn(const struct qemu_plugin_tb*, size_t);
const void* qemu_plugin_insn_data(const struct qemu_plugin_insn*);
size_t qemu_plugin_insn_size(const struct qemu_plugin_insn*);
uint64_t qemu_plugin_insn_vaddr(const struct qemu_plugin_insn*);

__attribute__((visibility("default"))) int qemu_plugin_version = 1;

enum { kFunctionsMax = 8 };

struct Tally {
  uint64_t calls;
  uint64_t total;
  uint64_t least;
  uint64_t worst;
  uint64_t worst_call;
};

struct Function {
  const char* name;
  uint64_t address;
  struct Tally usual;
  struct Tally apart;
};

/* A stretch of instructions that is always run from its first to its last. */
struct Block {
  uint64_t begin;
  uint64_t end;
  uint64_t instructions;
  bool ends_in_call;
  bool sets_apart;
  struct Function* entered;
};

static struct Function functions[kFunctionsMax];
static size_t function_count;
static FILE* out;

static uint64_t apart_address = UINT64_MAX;

static struct Function* active;
static uint64_t active_instructions;
static bool active_apart;
static uint64_t return_address;
static const struct Block* previous;
static bool unsound;

static void finish_call(void) {
  struct Tally* tally = active_apart ? &active->apart : &active->usual;
  ++tally->calls;
  tally->total += active_instructions;
  if (tally->calls == 1 || active_instructions < tally->least) tally->least = active_instructions;
  if (active_instructions > tally->worst) {
    tally->worst = active_instructions;
    tally->worst_call = tally->calls;
  }
  active = NULL;
}

static void on_block(unsigned cpu, void* data) {
  const struct Block* block = data;
  (void)cpu;
  if (active != NULL && block->begin == return_address) finish_call();
  if (block->entered != NULL) {
    if (active != NULL || previous == NULL || !previous->ends_in_call) unsound = true;
    active = block->entered;
    active_instructions = 0;
    active_apart = false;
    return_address = previous == NULL ? 0 : previous->end;
  }
  if (active != NULL) active_instructions += block->instructions;
  if (block->sets_apart) active_apart = true;
  previous = block;
}

/* "bl", the only call with a fixed target: 11110... ........ then 11.1.... ........ */
static bool is_call(const struct qemu_plugin_insn* instruction) {
  const uint8_t* bytes = qemu_plugin_insn_data(instruction);
  return qemu_plugin_insn_size(instruction) == 4 && (bytes[1] & 0xf8) == 0xf0 &&
         (bytes[3] & 0xd0) == 0xd0;
}

static void on_translated(qemu_plugin_id_t id, struct qemu_plugin_tb* translated) {
  (void)id;
  /* Lives as long as the translation may be run, which nobody tells the end of. */
  struct Block* block = calloc(1, sizeof *block);
  if (block == NULL) abort();
  block->begin = qemu_plugin_tb_vaddr(translated);
  block->instructions = qemu_plugin_tb_n_insns(translated);
  const struct qemu_plugin_insn* last =
      qemu_plugin_tb_get_insn(translated, block->instructions - 1);
  block->end = qemu_plugin_insn_vaddr(last) + qemu_plugin_insn_size(last);
  block->ends_in_call = is_call(last);
  block->sets_apart = block->begin == apart_address;
  for (size_t i = 0; i < function_count; ++i) {
    if (functions[i].address == block->begin) block->entered = &functions[i];
  }
  qemu_plugin_register_vcpu_tb_exec_cb(translated, on_block, QEMU_PLUGIN_CB_NO_REGS, block);
}

static void print(const char* name, const char* mark, const struct Tally* tally) {
  fprintf(out, "%s%s %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 "\n", name, mark,
          tally->calls, tally->total, tally->least, tally->worst, tally->worst_call);
}

static void on_exit_of_emulator(qemu_plugin_id_t id, void* data) {
  (void)id;
  (void)data;
  for (size_t i = 0; i < function_count; ++i) {
    print(functions[i].name, "", &functions[i].usual);
    if (functions[i].apart.calls > 0) print(functions[i].name, "+", &functions[i].apart);
  }
  if (unsound) fprintf(out, "unsound\n");
  fclose(out);
}

static bool take_argument(char* argument) {
  char* value = strchr(argument, '=');
  if (value == NULL) return false;
  *value++ = 0;
  if (strcmp(argument, "out") == 0) {
    out = fopen(value, "w");
    return out != NULL;
  }
  const uint64_t address = strtoull(value, NULL, 0) & ~UINT64_C(1);
  if (strcmp(argument, "apart") == 0) {
    apart_address = address;
    return true;
  }
  if (function_count == kFunctionsMax) return false;
  functions[function_count].name = strdup(argument);
  functions[function_count].address = address;
  ++function_count;
  return true;
}

__attribute__((visibility("default"))) int qemu_plugin_install(qemu_plugin_id_t id,
                                                               const struct qemu_info_t* info,
                                                               int argc, char** argv) {
  (void)info;
  for (int i = 0; i < argc; ++i) {
    if (!take_argument(argv[i])) return -1;
  }
  if (out == NULL) return -1;
  qemu_plugin_register_vcpu_tb_trans_cb(id, on_translated);
  qemu_plugin_register_atexit_cb(id, on_exit_of_emulator, NULL);
  return 0;
}
