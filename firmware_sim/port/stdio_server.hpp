#pragma once

namespace rimebench {

/// Serves the dose controller to one bench over standard input and output, until it has said
/// goodbye or is gone. Nothing else may be written to standard output meanwhile.
void serve_stdio();

}  // namespace rimebench
