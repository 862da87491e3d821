#include "harness/trace/output_file.hpp"

#include <cerrno>
#include <cstdio>
#include <string>
#include <system_error>
#include <utility>

#include "firmware_sim/units/demand.hpp"

namespace rimebench {

namespace {

[[noreturn]] void refuse(const std::filesystem::path& file, const char* problem) {
  throw TraceError(file.string() + ": " + problem + ": " + std::generic_category().message(errno));
}

}  // namespace

OutputFile::OutputFile(std::filesystem::path file) : file_(std::move(file)), partial_(file_) {
  std::error_code unknown;
  const auto type = std::filesystem::status(file_, unknown).type();
  const bool renamed =
      type == std::filesystem::file_type::regular || type == std::filesystem::file_type::not_found;
  if (renamed) partial_ += ".partial";
  stream_.reset(std::fopen(partial_.c_str(), "wb"));
  if (!stream_) refuse(partial_, "cannot be written");
  static_cast<void>(std::setvbuf(stream_.get(), nullptr, _IONBF, 0));
}

void OutputFile::write(std::span<const std::uint8_t> bytes) {
  DEMAND(stream_ != nullptr);
  if (std::fwrite(bytes.data(), 1, bytes.size(), stream_.get()) != bytes.size()) {
    refuse(partial_, "cannot be written further");
  }
}

void OutputFile::write(std::string_view text) {
  write({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

void OutputFile::close() {
  DEMAND(stream_ != nullptr);
  if (std::fclose(stream_.release()) != 0) refuse(partial_, "cannot be finished");
  if (partial_ == file_) return;
  std::error_code error;
  std::filesystem::rename(partial_, file_, error);
  if (error) {
    throw TraceError(file_.string() + ": cannot be renamed from " + partial_.string() + ": " +
                     error.message());
  }
}

void write_whole_file(const std::filesystem::path& file, std::string_view text) {
  OutputFile output(file);
  output.write(text);
  output.close();
}

}  // namespace rimebench
