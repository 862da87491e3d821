#include "firmware_sim/port/rimebench_serve.h"

#include <charconv>
#include <exception>
#include <iostream>
#include <optional>
#include <string>

#include "firmware_sim/port/c_controller.hpp"
#include "firmware_sim/port/node_server.hpp"
#include "firmware_sim/port/node_session.hpp"
#include "firmware_sim/port/serve_at.hpp"

namespace {

using namespace rimebench;

struct Options {
  std::string listen;
  bool once{};
};

std::optional<Options> parse(int argc, char** argv) {
  Options options;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--once") {
      options.once = true;
    } else if (word == "--listen" && i + 1 < argc) {
      options.listen = argv[++i];
    } else {
      return std::nullopt;
    }
  }
  return options;
}

/// False if the options name no address.
bool serve_as_told(const Options& options) {
  const auto serve = [&](const ServeAddress& address) {
    serve_at<LockstepService<NodeSession<CController>>>(address, options.once, std::cout);
  };
  const std::string& text = options.listen;
  const std::string unix = "unix:";
  if (text.starts_with(unix) && text.size() > unix.size()) {
    serve(ListenPath{text.substr(unix.size())});
    return true;
  }
  const std::size_t colon = text.rfind(':');
  if (colon == std::string::npos || colon == 0) return false;
  const char* const end = text.data() + text.size();
  ListenAddress address{text.substr(0, colon), 0};
  const auto [stopped, error] = std::from_chars(text.data() + colon + 1, end, address.port);
  if (error != std::errc{} || stopped != end) return false;
  serve(address);
  return true;
}

}  // namespace

int rimebench_serve(const rimebench_controller* controller, int argc, char** argv) {
  constexpr int kBadInput = 3;
  CController::choose(*controller);
  try {
    const auto options = parse(argc, argv);
    if (options && serve_as_told(*options)) return 0;
    std::cerr << "usage: " << (argc > 0 ? argv[0] : "node")
              << " --listen HOST:PORT|unix:PATH [--once]\n";
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
  }
  return kBadInput;
}
