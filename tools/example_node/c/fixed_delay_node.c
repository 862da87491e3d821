/// A dose controller of the simplest kind in C99, as a node: one fixed dose, one fixed delay after
/// the sensor. The same logic as fixed_delay.py above this folder, so both give one digest.
///   fixed_delay_node --listen 127.0.0.1:0

#include <stdbool.h>
#include <string.h>

#include "firmware_sim/core/rimebench_core.h"
#include "firmware_sim/port/rimebench_serve.h"

enum { POINTS_MAX = 8 };

typedef struct range {
  int slot, entries;
  int32_t least, most;
} range;

#define RANGE_ROW(name, slot, entries, least, most) {slot, entries, least, most},
static const range ranges[] = {RIMEBENCH_PARAMETERS(RANGE_ROW)};

/// The checksum that a commit of these slots carries.
static int32_t checksum(const int32_t* slots) {
  uint32_t crc = 0xffffffffU;
  for (int i = 0; i < RIMEBENCH_SLOTS * 4; ++i) {
    crc ^= ((uint32_t)slots[i / 4] >> (8 * (i % 4))) & 0xffU;
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1) ^ ((crc & 1U) != 0 ? 0xedb88320U : 0U);
  }
  crc = ~crc;
  return crc == 0 ? 1 : (int32_t)crc;
}

/// As many entries as strictly rise.
static int points(const int32_t* xs) {
  int used = 1;
  while (used < POINTS_MAX && xs[used] > xs[used - 1]) ++used;
  return used;
}

/// The first entry of `list` that is not 0 behind the points or does not rise; POINTS_MAX if none.
static int first_out_of_order(const int32_t* list, int used, bool rises) {
  for (int entry = 0; entry < POINTS_MAX; ++entry) {
    if (entry >= used && list[entry] != 0) return entry;
    if (rises && entry > 0 && entry < used && list[entry] <= list[entry - 1]) return entry;
  }
  return POINTS_MAX;
}

static int earlier_slot(int first, const int32_t* slots, int list, int used, bool rises) {
  const int entry = first_out_of_order(slots + list, used, rises);
  return entry < POINTS_MAX && list + entry < first ? list + entry : first;
}

/// The first slot that is out of its range or order; RIMEBENCH_SLOTS if none is.
static int first_refused(const int32_t* slots) {
  int first = RIMEBENCH_SLOTS;
  for (size_t row = sizeof(ranges) / sizeof(ranges[0]); row-- > 0;) {
    for (int slot = ranges[row].slot + ranges[row].entries; slot-- > ranges[row].slot;) {
      if (slots[slot] < ranges[row].least || slots[slot] > ranges[row].most) first = slot;
    }
  }
  const int opens = points(slots + RIMEBENCH_SLOT_OPEN_CURVE_UG);
  const int waits = points(slots + RIMEBENCH_SLOT_WAIT_CURVE_US);
  first = earlier_slot(first, slots, RIMEBENCH_SLOT_OPEN_CURVE_UG, opens, true);
  first = earlier_slot(first, slots, RIMEBENCH_SLOT_OPEN_CURVE_US, opens, true);
  first = earlier_slot(first, slots, RIMEBENCH_SLOT_WAIT_CURVE_US, waits, true);
  first = earlier_slot(first, slots, RIMEBENCH_SLOT_WAIT_CURVE_PPM, waits, false);
  const int heads = points(slots + RIMEBENCH_SLOT_HEAD_CURVE_PA);
  first = earlier_slot(first, slots, RIMEBENCH_SLOT_HEAD_CURVE_PA, heads, true);
  return earlier_slot(first, slots, RIMEBENCH_SLOT_HEAD_CURVE_PPM, heads, false);
}

static int64_t quotient_floor(int64_t a, int64_t b) { return a / b - (a % b < 0 ? 1 : 0); }

/// The curve of two lists of 8 slots at `x`; `absent` if the lists are all 0.
static int64_t curve(const int32_t* xs, const int32_t* ys, int64_t x, int64_t absent) {
  const int used = points(xs);
  if (used == 1 && xs[0] == 0 && ys[0] == 0) return absent;
  if (x <= xs[0]) return ys[0];
  for (int i = 1; i < used; ++i) {
    if (x > xs[i]) continue;
    const int64_t rise = (int64_t)ys[i] - ys[i - 1];
    return ys[i - 1] + quotient_floor((x - xs[i - 1]) * rise, (int64_t)xs[i] - xs[i - 1]);
  }
  return ys[used - 1];
}

enum { SHOTS_MAX = 64 };  ///< containers between sensor and nozzle; a further one gets no dose

typedef struct shot {
  int64_t open_at;
  int64_t close_at;
} shot;

typedef struct fixed_delay {
  int64_t taken_at;     ///< of inputs taken but not settled, RIMEBENCH_NEVER if none
  int32_t input[0x20];  ///< present value of every channel below
  bool rose[0x20];      ///< at this instant
  int32_t slot[RIMEBENCH_SLOTS];
  int32_t commit;                       ///< not 0: taken at this instant
  int64_t delay, open_for, pitch_time;  ///< of the recipe in use, us
  bool loaded;
  int32_t mode, fault, recipe_state;
  int64_t last_edge_at;
  shot shots[SHOTS_MAX];  ///< in time order
  size_t shot_count;
  bool valve;
} fixed_delay;

static bool high(const fixed_delay* self, int channel) { return self->input[channel] != 0; }

static bool in_use(const fixed_delay* self) {
  return self->mode == RIMEBENCH_MODE_IDLE || self->mode == RIMEBENCH_MODE_SUSPENDED ||
         self->mode == RIMEBENCH_MODE_EXECUTE;
}

static void start(void* context) {
  fixed_delay* self = context;
  memset(self, 0, sizeof(*self));
  self->taken_at = RIMEBENCH_NEVER;
  self->last_edge_at = -RIMEBENCH_NEVER;
}

static void on_change(void* context, const rimebench_change* change) {
  fixed_delay* self = context;
  const int channel = change->channel;
  const int slot = channel - RIMEBENCH_CHANNEL_RECIPE_FIRST;
  self->taken_at = change->at_us;
  if (channel == RIMEBENCH_CHANNEL_RECIPE_COMMIT) {
    self->commit = change->value;
  } else if (slot >= 0 && slot < RIMEBENCH_SLOTS) {
    self->slot[slot] = change->value;
  } else if (channel < (int)(sizeof(self->input) / sizeof(self->input[0]))) {
    self->rose[channel] = change->value != 0 && !high(self, channel);
    self->input[channel] = change->value;
  }
}

/// One dose and one delay, for every container the same.
static void prepare(fixed_delay* self) {
  const int32_t* const slot = self->slot;
  const int64_t speed = slot[RIMEBENCH_SLOT_LINE_SPEED_UM_PER_S];
  const int64_t gain =
      curve(slot + RIMEBENCH_SLOT_WAIT_CURVE_US, slot + RIMEBENCH_SLOT_WAIT_CURVE_PPM,
            slot[RIMEBENCH_SLOT_WAIT_FIXED_US], 1000000);
  const int64_t dose = slot[RIMEBENCH_SLOT_DOSE_UG] * gain / 1000000;
  self->open_for =
      curve(slot + RIMEBENCH_SLOT_OPEN_CURVE_UG, slot + RIMEBENCH_SLOT_OPEN_CURVE_US, dose, 0);
  self->loaded = slot[RIMEBENCH_SLOT_OPEN_US_MIN] <= self->open_for &&
                 self->open_for <= slot[RIMEBENCH_SLOT_OPEN_US_MAX];
  const int64_t travel =
      ((int64_t)slot[RIMEBENCH_SLOT_SENSOR_TO_NOZZLE_UM] + slot[RIMEBENCH_SLOT_EDGE_TO_CENTRE_UM]) *
      1000000 / speed;
  // The middle of the streak lands this long after the command to open.
  const int64_t lead =
      slot[RIMEBENCH_SLOT_FLIGHT_US] + (slot[RIMEBENCH_SLOT_VALVE_OPEN_DELAY_US] + self->open_for +
                                        slot[RIMEBENCH_SLOT_VALVE_CLOSE_DELAY_US]) /
                                           2;
  self->delay = travel - slot[RIMEBENCH_SLOT_SENSOR_LATENCY_US] - lead;
  self->pitch_time = slot[RIMEBENCH_SLOT_PITCH_MIN_UM] * INT64_C(1000000) / speed;
  self->shot_count = 0;
}

/// The answer to a commit.
static int32_t load(fixed_delay* self) {
  if (self->mode != RIMEBENCH_MODE_STOPPED && self->mode != RIMEBENCH_MODE_IDLE) {
    return RIMEBENCH_RECIPE_REFUSED_RUNNING;
  }
  if (self->commit != checksum(self->slot)) return RIMEBENCH_RECIPE_REFUSED_CHECKSUM;
  const int refused = first_refused(self->slot);
  if (refused < RIMEBENCH_SLOTS) return RIMEBENCH_RECIPE_REFUSED_SLOT - refused;
  prepare(self);
  return RIMEBENCH_RECIPE_ACCEPTED;
}

static int32_t lost_interlock(const fixed_delay* self) {
  if (!high(self, RIMEBENCH_CHANNEL_SAFETY_CHAIN)) return RIMEBENCH_FAULT_SAFETY_CHAIN_LOST;
  if (!high(self, RIMEBENCH_CHANNEL_LINK_ALIVE)) return RIMEBENCH_FAULT_LINK_LOST;
  if (!high(self, RIMEBENCH_CHANNEL_SUPPLY_READY)) return RIMEBENCH_FAULT_SUPPLY_LOST;
  return RIMEBENCH_FAULT_NONE;
}

static void run_modes(fixed_delay* self) {
  const int32_t lost = lost_interlock(self);
  const bool accepted = self->recipe_state == RIMEBENCH_RECIPE_ACCEPTED;
  if (self->rose[RIMEBENCH_CHANNEL_OPERATOR_RESET] && accepted && lost == RIMEBENCH_FAULT_NONE) {
    if (self->mode == RIMEBENCH_MODE_STOPPED) {
      self->mode = RIMEBENCH_MODE_IDLE;
    } else if (self->mode == RIMEBENCH_MODE_ABORTED) {
      self->mode = RIMEBENCH_MODE_STOPPED;
    }
    self->fault = RIMEBENCH_FAULT_NONE;
  }
  if (self->rose[RIMEBENCH_CHANNEL_OPERATOR_START] && self->mode == RIMEBENCH_MODE_IDLE) {
    self->mode = RIMEBENCH_MODE_SUSPENDED;
  }
  if (self->mode == RIMEBENCH_MODE_SUSPENDED || self->mode == RIMEBENCH_MODE_EXECUTE) {
    self->mode = high(self, RIMEBENCH_CHANNEL_RUN_PERMIT) ? RIMEBENCH_MODE_EXECUTE
                                                          : RIMEBENCH_MODE_SUSPENDED;
  }
  if (self->rose[RIMEBENCH_CHANNEL_OPERATOR_STOP] && self->mode != RIMEBENCH_MODE_ABORTED) {
    self->mode = RIMEBENCH_MODE_STOPPED;
  }
  if (lost != RIMEBENCH_FAULT_NONE && in_use(self)) {
    self->mode = RIMEBENCH_MODE_ABORTED;
    self->fault = lost;
  }
}

static void plan_shot(fixed_delay* self, int64_t now) {
  const int64_t open_at = now + self->delay;
  const size_t count = self->shot_count;
  const bool after_last = count == 0 || open_at > self->shots[count - 1].close_at;
  const bool another = now - self->last_edge_at >= self->pitch_time;
  self->last_edge_at = now;
  if (!another || open_at <= now || !after_last || count == SHOTS_MAX) return;
  self->shots[self->shot_count++] = (shot){open_at, open_at + self->open_for};
}

/// Is the valve open from this instant on?
static bool run_shots(fixed_delay* self, int64_t now) {
  if (self->mode != RIMEBENCH_MODE_EXECUTE) {
    self->shot_count = 0;  // a line that stands moves no container: its delay means nothing
    return false;
  }
  if (self->rose[RIMEBENCH_CHANNEL_CONTAINER_SENSOR] && self->loaded) plan_shot(self, now);
  if (self->shot_count > 0 && self->shots[0].close_at <= now) {
    memmove(self->shots, self->shots + 1, --self->shot_count * sizeof(shot));
  }
  return self->shot_count > 0 && self->shots[0].open_at <= now;
}

static int64_t next_wake(const void* context) {
  const fixed_delay* self = context;
  int64_t timer_at = RIMEBENCH_NEVER;
  if (self->shot_count > 0) {
    timer_at = self->valve ? self->shots[0].close_at : self->shots[0].open_at;
  }
  return self->taken_at < timer_at ? self->taken_at : timer_at;
}

static size_t advance(void* context, int64_t until_us, rimebench_change* outputs) {
  fixed_delay* self = context;
  const int64_t now = next_wake(self);
  if (now >= until_us) return 0;
  self->taken_at = RIMEBENCH_NEVER;
  if (self->commit != 0) {
    self->recipe_state = load(self);
    self->commit = 0;
  }
  run_modes(self);
  self->valve = run_shots(self, now);
  memset(self->rose, 0, sizeof(self->rose));
  // All of them, in channel order: the node leaves out what has not changed.
  const rimebench_change all[] = {
      {now, RIMEBENCH_CHANNEL_VALVE, self->valve},
      {now, RIMEBENCH_CHANNEL_LINE_PERMIT, self->mode != RIMEBENCH_MODE_ABORTED},
      {now, RIMEBENCH_CHANNEL_SUPPLY_ISOLATION, in_use(self)},
      {now, RIMEBENCH_CHANNEL_ALARM, self->fault},
      {now, RIMEBENCH_CHANNEL_MODE, self->mode},
      {now, RIMEBENCH_CHANNEL_RECIPE_STATE, self->recipe_state},
  };
  memcpy(outputs, all, sizeof(all));
  return sizeof(all) / sizeof(all[0]);
}

int main(int argc, char** argv) {
  static fixed_delay memory;
  const rimebench_controller controller = {&memory, start, on_change, advance, next_wake};
  return rimebench_serve(&controller, argc, argv);
}
