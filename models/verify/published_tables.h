// The tables of tests/reference/published as text; models/verify/CMakeLists.txt makes the source file of this.
#pragma once
#include <span>
#include <string_view>

namespace wetrun {

struct PublishedTable {
  std::string_view name, csv;
};

std::span<const PublishedTable> published_tables();

}  // namespace wetrun
