// The comparisons as tables: for the terminal and for models/README.md.
#pragma once
#include <functional>
#include <string>

#include "models/verify/verification.h"

namespace wetrun {

/// One line a comparison, sources numbered and listed below, a count at the end.
std::string verification_text(const Verification& all);

using Chooser = std::function<bool(const PublishedValue&)>;
/// All there is to know of the rows that `wanted` chooses: a paragraph each.
std::string verification_details(const Verification& all, const Chooser& wanted);

/// A Markdown table per table of values, sources numbered and listed below it, rows left out counted with their reasons.
std::string verification_markdown(const Verification& all);

}  // namespace wetrun
