#include <zip.h>

#include "tests/fuzz/captured.hpp"

namespace rimebench::fuzz {

namespace {

void put_entry(zip_t* zip, const char* name, Input content) {
  zip_source_t* const source = zip_source_buffer(zip, content.data(), content.size(), 0);
  DEMAND(source != nullptr);
  DEMAND(zip_file_add(zip, name, source, 0) >= 0);
}

/// A good archive of this metadata and these samples, in memory.
std::vector<std::uint8_t> archive_of(Input metadata, Input first, Input second) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* const file = zip_source_buffer_create(nullptr, 0, 0, &error);
  DEMAND(file != nullptr);
  zip_source_keep(file);
  zip_t* const zip = zip_open_from_source(file, ZIP_TRUNCATE, &error);
  DEMAND(zip != nullptr);
  put_entry(zip, "metadata", metadata);
  put_entry(zip, "logic-1-1", first);
  put_entry(zip, "logic-1-2", second);
  DEMAND(zip_close(zip) == 0);
  DEMAND(zip_source_open(file) == 0);
  DEMAND(zip_source_seek(file, 0, SEEK_END) == 0);
  std::vector<std::uint8_t> bytes(static_cast<std::size_t>(zip_source_tell(file)));
  DEMAND(zip_source_seek(file, 0, SEEK_SET) == 0);
  DEMAND(zip_source_read(file, bytes.data(), bytes.size()) ==
         static_cast<zip_int64_t>(bytes.size()));
  zip_source_close(file);
  zip_source_free(file);
  zip_error_fini(&error);
  return bytes;
}

}  // namespace

/// An analyser's session as it is, and as a good archive of any metadata and samples.
void session_archive(Input bytes) {
  take_in_any_capture(bytes, "");
  if (bytes.empty()) return;
  Pieces pieces(bytes.subspan(1));
  const Input metadata = pieces.piece(2'000), first = pieces.piece(4'000);
  const Input second = pieces.piece(4'000);
  const auto archive = archive_of(metadata, first, second);
  take_in_any_capture(bytes.first(1), std::string(archive.begin(), archive.end()));
}

}  // namespace rimebench::fuzz
