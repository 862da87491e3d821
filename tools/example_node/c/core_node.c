/// Our own controller, driven from C: core_node --listen 127.0.0.1:0

#include "firmware_sim/port/rimebench_serve.h"

int main(int argc, char** argv) {
  static rimebench_core core;
  const rimebench_controller controller = rimebench_core_controller(&core);
  return rimebench_serve(&controller, argc, argv);
}
