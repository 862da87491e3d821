#include "harness/link/tcp_node.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/write.hpp>
#include <optional>

#include "harness/link/grant_cut.hpp"

namespace rimebench {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

const char* meaning(Refusal reason) {
  switch (reason) {
    case Refusal::kDamaged:
      return "the frame arrived damaged";
    case Refusal::kMessage:
      return "not a message it takes";
    case Refusal::kVersion:
      return "it does not speak this protocol version";
    case Refusal::kNoSession:
      return "no session has begun";
    case Refusal::kSequence:
      return "the sequence number does not follow";
    case Refusal::kTime:
      return "the grant does not reach past the instant already reached";
    case Refusal::kTooMany:
      return "more changes than its capacity";
    case Refusal::kOrder:
      return "a change out of order";
    case Refusal::kChannel:
      return "a channel that does not lead to the controller";
  }
  return "an unknown reason";
}

/// Differs from one connection to the next, which is all it is for.
std::uint32_t fresh_nonce() {
  return static_cast<std::uint32_t>(std::chrono::steady_clock::now().time_since_epoch().count());
}

}  // namespace

TcpNode::TcpNode(const TcpAddress& address, std::chrono::milliseconds silence_max)
    : address_(address), silence_max_(silence_max), socket_(io_) {
  connect();
  greet();
}

TcpNode::~TcpNode() {
  // The node may be gone already; then nobody is left to take leave of.
  const auto goodbye = encode_goodbye(frame_);
  error_code gone;
  asio::write(socket_, asio::buffer(goodbye.data(), goodbye.size()), gone);
}

void TcpNode::lose(const std::string& what) const {
  throw LinkError("node at " + address_.host + ":" + std::to_string(address_.port) + ": " + what,
                  reached_);
}

/// Runs one operation of Asio to its end or until the answer is overdue; `start` is given the place
/// for its result.
template <class Start>
void TcpNode::run_to_end(Start&& start) {
  std::optional<error_code> result;
  start([&result](const error_code& error, const auto&...) { result = error; });
  io_.restart();
  io_.run_until(answer_due_);
  if (!result) {
    // The abandoned operation refers to `result`: let it end before that is gone.
    error_code ignored;
    socket_.close(ignored);
    io_.run();
    lose("no answer for " + std::to_string(silence_max_.count()) + " ms");
  }
  if (*result == asio::error::eof) lose("it closed the connection");
  if (*result) lose(result->message());
}

void TcpNode::start_watch() { answer_due_ = std::chrono::steady_clock::now() + silence_max_; }

void TcpNode::connect() {
  start_watch();
  tcp::resolver resolver(io_);
  error_code unknown;
  const auto found = resolver.resolve(address_.host, std::to_string(address_.port), unknown);
  if (unknown) lose(unknown.message());
  run_to_end([&](auto done) { asio::async_connect(socket_, found, done); });
  error_code gone;
  socket_.set_option(tcp::no_delay(true), gone);
  if (gone) lose(gone.message());
}

void TcpNode::greet() {
  start_watch();
  const std::uint32_t nonce = fresh_nonce();
  send(encode(HelloMessage{kProtocolVersion, nonce}, frame_));
  const auto payload = receive_payload();
  const auto reply = decode_hello_reply(payload);
  if (!reply) lose("its answer to the hello is not a hello reply");
  if (reply->version != kProtocolVersion) {
    lose("it speaks protocol version " + std::to_string(reply->version) + ", the bench speaks " +
         std::to_string(kProtocolVersion));
  }
  if (reply->nonce != nonce) lose("it answered a hello of another session");
  if (reply->capacity < kCapacityMin) {
    lose("it takes " + std::to_string(reply->capacity) + " changes a frame, fewer than the " +
         std::to_string(kCapacityMin) + " that the protocol asks for");
  }
  capacity_ = reply->capacity;
  name_.assign(reply->name.begin(), reply->name.end());
}

Reached TcpNode::exchange(const Grant& grant) {
  outputs_.clear();
  std::span<const SignalChange> inputs = grant.inputs;
  Instant until = grant.until;
  while (true) {
    const GrantPiece piece = cut_grant(inputs, until, capacity_);
    const ReachedMessage answer = ask({seq_, piece.until, grant.lookahead, piece.inputs});
    outputs_.insert(outputs_.end(), answer.changes.begin(), answer.changes.end());
    // The lookahead runs from the first output of the whole grant, not from that of a piece.
    if (!outputs_.empty()) until = earlier(until, outputs_.front().at + grant.lookahead);
    if (reached_ < piece.until || reached_ >= until) return {reached_, outputs_};
    inputs = inputs.subspan(piece.inputs.size());
  }
}

ReachedMessage TcpNode::ask(const GrantMessage& grant) {
  start_watch();
  send(encode(grant, frame_));
  const auto reached = decode_reached(receive_payload(), changes_);
  if (!reached) lose("its answer to a grant is not a reached");
  check(grant, *reached);
  ++seq_;
  reached_ = reached->at;
  return *reached;
}

void TcpNode::check(const GrantMessage& grant, const ReachedMessage& reached) const {
  if (reached.seq != grant.seq) {
    lose("it answered grant " + std::to_string(reached.seq) + " instead of " +
         std::to_string(grant.seq));
  }
  if (reached.at <= reached_ || reached.at > grant.until) {
    lose("granted up to " + std::to_string(grant.until.us) + " us, it says it reached " +
         std::to_string(reached.at.us) + " us");
  }
  const SignalChange* previous = nullptr;
  for (const SignalChange& change : reached.changes) {
    if (class_of(change.channel) != ChannelClass::kFromController) {
      lose("it put out a change on channel " + std::to_string(number(change.channel)) +
           ", which is no output");
    }
    const bool ordered = previous == nullptr || canonical_before(*previous, change);
    if (!ordered || change.at < reached_ || change.at >= reached.at) {
      lose("its output at " + std::to_string(change.at.us) + " us on channel " +
           std::to_string(number(change.channel)) + " is out of order");
    }
    previous = &change;
  }
  if (!reached.changes.empty() && reached.at > reached.changes.front().at + grant.lookahead) {
    lose("it ran to " + std::to_string(reached.at.us) + " us, past its first output at " +
         std::to_string(reached.changes.front().at.us) + " us plus the lookahead");
  }
}

/// The next payload that is an answer: not damaged, not a refusal, not a goodbye.
std::span<const std::uint8_t> TcpNode::receive_payload() {
  while (true) {
    if (unread_.empty()) receive_bytes();
    const std::uint8_t byte = unread_.front();
    unread_ = unread_.subspan(1);
    const FrameEvent event = reader_.add(byte);
    if (event == FrameEvent::kBroken) lose("a frame arrived damaged");
    if (event != FrameEvent::kFrame) continue;
    const auto payload = reader_.payload();
    if (const auto refused = decode_refused(payload)) {
      const std::string what =
          refused->seq == 0 ? "a frame" : "grant " + std::to_string(refused->seq);
      lose("it refused " + what + ": " + meaning(refused->reason));
    }
    if (is_goodbye(payload)) lose("it said goodbye");
    return payload;
  }
}

void TcpNode::receive_bytes() {
  std::size_t size = 0;
  run_to_end([&](auto done) {
    socket_.async_read_some(asio::buffer(received_),
                            [&size, done](const error_code& error, std::size_t received) {
                              size = received;
                              done(error);
                            });
  });
  unread_ = {received_.data(), size};
}

void TcpNode::send(std::span<const std::uint8_t> bytes) {
  run_to_end([&](auto done) {
    asio::async_write(socket_, asio::buffer(bytes.data(), bytes.size()), done);
  });
}

}  // namespace rimebench
