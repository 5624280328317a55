// Any TOML file: each key is read as its last letter says; what was read loads back to the same (Document::expanded()).
#include "engine/file/table.h"
#include "tests/fuzz/fuzz.h"

namespace wetrun::fuzz {
namespace {

void read_all(const Table& table);

/// One way a key: each way that fails costs an exception, and there are to be thousands of inputs a second.
void read(const Table& table, const std::string& key) {
  constexpr long long most = 1'000'000;
  switch (key.empty() ? ' ' : key.back()) {
    case 't':
      return read_all(table.table(key));
    case 'l':
      for (const Table& entry : table.tables(key)) read_all(entry);
      return;
    case 'w':
      return void(table.texts(key));
    case 'q':
      return void(table.quantities(key, "1"));
    case 'n':
      return void(table.count(key, -most, most));
    case 'f':
      return void(table.flag(key));
    case 'p':
      return WETRUN_REQUIRE(std::isfinite(table.quantity(key, "Pa", {-1e9, 1e9})));
    case 'k':
      return WETRUN_REQUIRE(table.quantity(key, "K") >= 0);
    case 'd':
      return void(table.word(key, {"skid", "exercise", "sequence"}));
    case 'x':
      return;  // nobody reads it: finish() complains
    default:
      return void(table.text(key));
  }
}

void read_all(const Table& table) {
  for (const std::string& key : table.keys()) takes(Placed::at_line, [&] { read(table, key); });
}

}  // namespace
}  // namespace wetrun::fuzz

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  takes(Placed::at_line, [&] {
    const Document document = Document::parse(text_of(data, size), "input.toml");
    accepted();
    read_all(document.root());
    takes(Placed::at_line, [&] { document.finish(); });
    const std::string once = document.expanded();
    const bool loads = takes(Placed::at_line, [&] {
      const Document again = Document::parse(once, "expanded.toml");
      read_all(again.root());
      WETRUN_REQUIRE(again.expanded() == once);
    });
    WETRUN_REQUIRE(loads);
  });
  return 0;
}
