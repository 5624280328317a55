#include "trainer/window/session/journal.h"

#include "engine/file/parse_json.h"
#include "engine/step/json_numbers.h"

namespace wetrun {
namespace {

using nlohmann::json;
using What = JournalEntry::What;
constexpr const char* words[] = {"hint", "take_over", "hand_back", "hand_over"};
constexpr const char* role = "journal";

}  // namespace

std::string journal_text(const std::vector<JournalEntry>& journal) {
  json list = json::array();
  for (const JournalEntry& entry : journal)
    list.push_back({words[static_cast<std::size_t>(entry.what)], entry.step, entry.commands, entry.sheet_step});
  return list.dump();
}

std::vector<JournalEntry> read_journal(const std::string& text, const std::string& file) {
  const auto damaged = [&] {
    return InputError({file, 0, 0}, "its journal cannot be read", "a file that this program wrote");
  };
  std::vector<JournalEntry> journal;
  try {
    for (const json& line : parse_json(text, file)) {
      JournalEntry entry;
      const std::string word = line.at(0).get<std::string>();
      std::size_t what = 0;
      while (what < std::size(words) && word != words[what]) ++what;
      if (what == std::size(words)) throw damaged();
      entry.what = static_cast<What>(what);
      entry.step = whole_value(line.at(1));
      entry.commands = whole_value(line.at(2));
      entry.sheet_step = whole_value(line.at(3));
      if (!journal.empty() && (entry.step < journal.back().step || entry.commands < journal.back().commands))
        throw damaged();
      journal.push_back(entry);
    }
  } catch (const json::exception&) {
    throw damaged();
  } catch (const InputError&) {
    throw damaged();
  }
  return journal;
}

BundleParts read_parts(const std::string& bundle, const std::string& file) {
  BundleParts parts;
  for (const BundleFile& each : read_bundle(bundle, file)) {
    if (each.role == "skid") {
      parts.texts.skid = each.text;
    } else if (each.role == "exercise") {
      parts.texts.name = each.name;
      parts.texts.exercise = each.text;
    } else if (each.role == "sequence") {
      parts.texts.sequence_name = each.name;
      parts.texts.sequence = each.text;
    } else if (each.role == role) {
      parts.journal = read_journal(each.text, file);
    }
  }
  if (parts.texts.skid.empty())
    throw InputError({file, 0, 0}, "the recording holds no skid", "a file that this program wrote");
  return parts;
}

std::string with_journal(const std::string& bundle, const std::vector<JournalEntry>& journal) {
  std::vector<BundleFile> files = read_bundle(bundle, "the recording");
  std::erase_if(files, [](const BundleFile& each) { return each.role == role; });
  files.push_back({role, "session", journal_text(journal)});
  return bundle_text(files);
}

}  // namespace wetrun
