#pragma once

/// One bench after another at an address, in whatever way a bench is served.

#include <ostream>
#include <stdexcept>

#include "firmware_sim/port/node_server.hpp"

namespace rimebench {

/// `Service` is made for each bench that connects: serve(server) serves it until it has said
/// goodbye (true) or is gone.
template <class Service, class Listen>
void serve_sockets(const Listen& listen, bool once, std::ostream& out) {
  SocketServer server(listen);
  out << "listening on " << server.address() << std::endl;
  do {
    Service service;
    server.accept();
    service.serve(server);
    server.close();
  } while (!once);
}

/// One service for all benches: half a frame of the next may have come with the goodbye.
template <class Service>
void serve_serial(const SerialLine& line, bool once, std::ostream& out) {
  SerialServer server(line);
  out << "listening on serial:" << line.device << "," << line.baud << std::endl;
  Service service;
  do {
    if (!service.serve(server)) throw std::runtime_error(line.device + ": the line is gone");
  } while (!once);
}

/// Prints "listening on ..." as one line on `out`, then serves one bench after another; with `once`
/// it returns after the first. Throws std::runtime_error if it cannot listen, or when a serial line
/// goes away.
template <class Service>
void serve_at(const ServeAddress& address, bool once, std::ostream& out) {
  if (const auto* line = std::get_if<SerialLine>(&address)) {
    serve_serial<Service>(*line, once, out);
  } else if (const auto* path = std::get_if<ListenPath>(&address)) {
    serve_sockets<Service>(*path, once, out);
  } else {
    serve_sockets<Service>(std::get<ListenAddress>(address), once, out);
  }
}

/// Lockstep, each bench with a fresh controller; `Session` as NodeSession.
template <class Session>
class LockstepService {
 public:
  template <class Server>
  bool serve(Server& server) {
    return serve_session(server, session_);
  }

 private:
  Session session_;
};

}  // namespace rimebench
