#include "harness/trace/format.hpp"

#include <zlib.h>

#include <array>
#include <utility>

namespace rimebench {

namespace {

// The difference to the row before wraps around rather than overflows, so that any two values have
// one.
std::int64_t difference(std::int64_t later, std::int64_t earlier) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(later) -
                                   static_cast<std::uint64_t>(earlier));
}

std::int64_t sum(std::int64_t a, std::int64_t b) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) + static_cast<std::uint64_t>(b));
}

std::optional<ChannelName> take_channel(ByteReader& reader) {
  const auto channel = reader.take<std::uint16_t>();
  auto name = reader.take_text();
  auto unit = reader.take_text();
  if (!channel || !name || !unit) return std::nullopt;
  return ChannelName{static_cast<Channel>(*channel), std::move(*name), std::move(*unit)};
}

}  // namespace

TraceHeader make_trace_header(std::uint64_t seed, std::string scenario) {
  TraceHeader header{seed, std::move(scenario), every_channel_name(), {}};
  for (const LedgerColumn& column : kLedgerColumns) header.columns.emplace_back(column.name);
  return header;
}

Bytes encode_header(const TraceHeader& header) {
  Bytes payload;
  append(payload, header.seed);
  append_text(payload, header.scenario);
  append(payload, static_cast<std::uint32_t>(header.channels.size()));
  for (const ChannelName& row : header.channels) {
    append(payload, number(row.channel));
    append_text(payload, row.name);
    append_text(payload, row.unit);
  }
  append(payload, static_cast<std::uint32_t>(header.columns.size()));
  for (const std::string& column : header.columns) append_text(payload, column);
  return payload;
}

std::optional<TraceHeader> decode_header(std::span<const std::uint8_t> payload) {
  ByteReader reader(payload);
  const auto seed = reader.take<std::uint64_t>();
  auto scenario = reader.take_text();
  const auto channels = reader.take<std::uint32_t>();
  if (!seed || !scenario || !channels) return std::nullopt;
  TraceHeader header{*seed, std::move(*scenario), {}, {}};
  for (std::uint32_t i = 0; i < *channels; ++i) {
    auto row = take_channel(reader);
    if (!row) return std::nullopt;
    header.channels.push_back(std::move(*row));
  }
  const auto columns = reader.take<std::uint32_t>();
  if (!columns) return std::nullopt;
  for (std::uint32_t i = 0; i < *columns; ++i) {
    auto name = reader.take_text();
    if (!name) return std::nullopt;
    header.columns.push_back(std::move(*name));
  }
  if (!reader.at_end()) return std::nullopt;
  return header;
}

Bytes encode_rows(std::span<const LedgerRow> rows) {
  Bytes payload(sizeof(std::uint32_t) + rows.size() * kLedgerColumns.size() * kCompactBytesMax);
  store_little_endian(payload.data(), static_cast<std::uint32_t>(rows.size()));
  std::uint8_t* end = payload.data() + sizeof(std::uint32_t);
  for (const LedgerColumn& column : kLedgerColumns) {
    std::int64_t before = 0;
    for (const LedgerRow& row : rows) {
      const std::int64_t value = row.*column.value;
      end = store_compact(end, difference(value, before));
      before = value;
    }
  }
  payload.resize(static_cast<std::size_t>(end - payload.data()));
  return payload;
}

std::optional<std::vector<LedgerRow>> decode_rows(std::span<const std::uint8_t> payload) {
  ByteReader reader(payload);
  const auto count = reader.take<std::uint32_t>();
  // Each value takes a byte at least: a count beyond that is not believed.
  if (!count || *count > reader.bytes_left() / kLedgerColumns.size()) return std::nullopt;
  std::vector<LedgerRow> rows(*count);
  for (const LedgerColumn& column : kLedgerColumns) {
    std::int64_t before = 0;
    for (LedgerRow& row : rows) {
      const auto step = reader.take_compact();
      if (!step) return std::nullopt;
      before = sum(before, *step);
      row.*column.value = before;
    }
  }
  for (const LedgerRow& row : rows) {
    if (row.cause < 0 || row.cause >= static_cast<std::int64_t>(Cause::kCount)) return std::nullopt;
  }
  if (!reader.at_end()) return std::nullopt;
  return rows;
}

Bytes encode_footer(const TraceFooter& footer) {
  Bytes payload;
  append(payload, footer.records);
  append(payload, footer.rows);
  append(payload, footer.proof.digest);
  append(payload, footer.proof.changes);
  append(payload, footer.proof.end.us);
  append(payload, footer.exchanges);
  return payload;
}

std::optional<TraceFooter> decode_footer(std::span<const std::uint8_t> payload) {
  ByteReader reader(payload);
  const auto records = reader.take<std::uint64_t>();
  const auto rows = reader.take<std::uint64_t>();
  const auto digest = reader.take<std::uint64_t>();
  const auto changes = reader.take<std::uint64_t>();
  const auto end_us = reader.take<std::int64_t>();
  const auto exchanges = reader.take<std::uint64_t>();
  if (!exchanges || !reader.at_end()) return std::nullopt;
  return TraceFooter{*records, *rows, {*digest, *changes, Instant{*end_us}}, *exchanges};
}

std::uint32_t block_crc(BlockKind kind, std::span<const std::uint8_t> payload) {
  std::array<std::uint8_t, 8> head{};
  store_little_endian(head.data(), static_cast<std::uint32_t>(kind));
  store_little_endian(head.data() + 4, static_cast<std::uint32_t>(payload.size()));
  const uLong begun = crc32(0, head.data(), static_cast<uInt>(head.size()));
  return static_cast<std::uint32_t>(
      crc32(begun, payload.data(), static_cast<uInt>(payload.size())));
}

}  // namespace rimebench
