// The input of a recording or a saved session (files and a journal as one text), and a journal by itself.
#include "tests/fuzz/fuzz.h"
#include "trainer/window/session/journal.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  const std::string text = text_of(data, size);
  takes(Placed::in_file, [&] {
    const std::string once = bundle_text(read_bundle(text, "input"));
    const bool reads = takes(Placed::in_file, [&] { WETRUN_REQUIRE(bundle_text(read_bundle(once, "once")) == once); });
    WETRUN_REQUIRE(reads);
    const BundleParts parts = read_parts(text, "input");
    accepted();
    const std::string noted = with_journal(text, parts.journal);
    WETRUN_REQUIRE(read_parts(noted, "noted").journal == parts.journal);
    WETRUN_REQUIRE(with_journal(noted, parts.journal) == noted);
  });
  takes(Placed::in_file, [&] {
    const std::vector<JournalEntry> journal = read_journal(text, "input");
    accepted();
    WETRUN_REQUIRE(read_journal(journal_text(journal), "once") == journal);
  });
  return 0;
}
