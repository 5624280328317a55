#include "trainer/exercise/exercise.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/core/units.h"
#include "engine/file/limits.h"

namespace wetrun {
namespace {

constexpr double longest_run_s = 2 * 86400.0;

/// Finds a file named at a key; the complaint is placed there. What --set names is named by the user.
Library::Entry find_at(const Library& library, const Table& table, const std::string& key, const std::string& kind) {
  try {
    const bool by_the_file = table.where(key).file == table.where().file;
    return library.find(kind, table.text(key), by_the_file ? folder_of(table.where(key).file) : "");
  } catch (const InputError& error) {
    throw InputError(table.where(key), error.wrong(), error.right());
  }
}

FaultPlan read_fault(const Table& table, const SignalTable& signals, double duration_s) {
  FaultPlan fault;
  fault.signal = read_signal(table, "signal", signals);
  const SignalInfo& row = signals[fault.signal];
  if (row.kind != SignalKind::fault)
    throw table.error("signal", fmt::format("'{}' is a {}, not a fault", row.name, to_text(row.kind)),
                      "a name that `wetrun list faults` shows");
  fault.to = read_value(table, "to", row);
  if (table.has("at") == table.has("when"))
    throw table.error(table.has("at") ? "at" : "signal", "a fault needs one of `at` and `when`", "one of them");
  if (table.has("at")) fault.at_s = table.quantity("at", "s", {0, duration_s});
  if (table.has("when")) fault.when = read_condition(table, "when", signals, Visibility::truth);
  fault.over_s = table.quantity_or("over", "s", 0, {0, duration_s});
  fault.note = table.text_or("note", "");
  return fault;
}

/// `library`: nothing: the sequences are not looked for.
std::vector<OperatorEntry> read_operators(const Library* library, const Table& root) {
  std::vector<OperatorEntry> operators;
  for (const Table& table : root.tables("operator", limits::operators)) {
    OperatorEntry entry;
    const Library::Entry found =
        library ? find_at(*library, table, "sequence", "sequence") : Library::Entry{table.text("sequence"), ""};
    entry.sequence = found.name;
    entry.file = found.file;
    entry.expect_pass = table.word("expect", {"pass", "fail"}) == "pass";
    entry.because = table.text("because");
    entry.fails = entry.expect_pass ? table.text_or("fails", "") : table.text("fails");
    if (entry.expect_pass && !entry.fails.empty())
      throw table.error("fails", "an operator that is to pass breaks no rule", "leave `fails` out");
    operators.push_back(std::move(entry));
  }
  return operators;
}

void check_operators(const Table& root, const Exercise& exercise) {
  const std::vector<Table> tables = root.tables("operator");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const std::string& fails = exercise.operators[i].fails;
    const auto same = [&](const Rule& rule) { return rule.name == fails; };
    if (!fails.empty() && std::none_of(exercise.rules.begin(), exercise.rules.end(), same))
      throw tables[i].error("fails", "no rule is called '" + fails + "'", "the name of a rule of this exercise");
  }
}

void read_texts(const Table& root, Exercise& exercise) {
  exercise.title = root.text("title");
  exercise.aim = root.text("aim");
  exercise.brief = root.text("brief");
  exercise.cautions = root.texts_or_empty("cautions");
  exercise.duration_s = root.quantity("duration", "s", {1, longest_run_s});
  exercise.linger_s = root.quantity_or("linger", "s", std::min(60.0, exercise.duration_s), {0, exercise.duration_s});
  exercise.pass_score = static_cast<int>(root.count_or("pass_score", 70, 0, 100));
}

void read_with_signals(const Table& root, Exercise& exercise) {
  const SignalTable& signals = exercise.skid.plant->signals();
  for (const Table& table : root.tables("fault", limits::faults))
    exercise.faults.push_back(read_fault(table, signals, exercise.duration_s));
  exercise.steps = read_steps(root, signals);
  exercise.rules = read_rules(root, signals, exercise.duration_s);
  const std::vector<std::string> reveal = root.texts_or_empty("reveal");
  if (reveal.size() > limits::reveal)
    throw root.error("reveal", fmt::format("more than {} readings to show", limits::reveal), "use fewer");
  for (const std::string& name : reveal) {
    try {
      exercise.reveal.push_back(signals.require(name));
    } catch (const InputError& error) {
      throw error.at(root.where("reveal"));
    }
  }
}

/// The [start] table: the skid's own keys, quoted, with values as text.
void apply_start(const Table& root, Document& skid) {
  const std::optional<Table> start = root.table_if("start");
  if (!start) return;
  for (const std::string& path : start->keys()) {
    const std::string value = start->text(path);
    const SourcePos where = start->where(path);
    skid.override_value(path, value, fmt::format("{}:{}: [start] \"{}\"", where.file, where.line, path));
  }
}

LoadedSkid build(Document& document) {
  LoadedSkid loaded;
  loaded.skid = build_skid(document);
  document.finish();
  loaded.expanded = document.expanded();
  return loaded;
}

void read_all(const Library* library, Document& document, Document& skid_document, Exercise& exercise) {
  const Table root = document.root();
  read_texts(root, exercise);
  LoadedSkid skid = build(skid_document);
  exercise.skid = std::move(skid.skid);
  exercise.expanded_skid = std::move(skid.expanded);
  const double longest_s = exercise.skid.plant->longest_run_s();
  if (exercise.duration_s > longest_s)
    throw root.error(
        "duration",
        fmt::format("{} is too many steps of {} on a skid of {} cells", format_quantity(exercise.duration_s, "s"),
                    format_quantity(exercise.skid.plant->step_s(), "s"), exercise.skid.plant->cells().size()),
        "at most " + format_quantity(longest_s, "s") + " on this skid");
  read_with_signals(root, exercise);
  exercise.operators = read_operators(library, root);
  check_operators(root, exercise);
  document.finish();
  exercise.expanded = document.expanded();
}

/// The skid for a sequence: the one given, or else the one it names.
Library::Entry skid_of(const Library& library, const Document& sequence, const std::optional<std::string>& given) {
  sequence.require_kind("sequence", 1);
  return given ? library.find("skid", *given) : find_at(library, sequence.root(), "skid", "skid");
}

/// The sequence meant by --operator: one the exercise names, or any other; "" is the first that is expected to pass.
Library::Entry pick_operator(const Library& library, const Table& root, const std::string& name,
                             const std::string& exercise) {
  for (const OperatorEntry& entry : read_operators(&library, root))
    if (name.empty() ? entry.expect_pass : entry.sequence == name) return {entry.sequence, entry.file};
  if (name.empty())
    throw InputError("exercise '" + exercise + "' names no operator that passes", "--operator SEQUENCE");
  return library.find("sequence", name);
}

}  // namespace

LoadedSkid load_skid(const Library& library, const std::string& name_or_path, const std::string& from_folder,
                     const std::vector<Override>& overrides) {
  Document document = Document::load(library.find("skid", name_or_path, from_folder).file);
  apply_overrides(overrides, {{"skid", &document}});
  return build(document);
}

std::shared_ptr<const Exercise> practice_exercise(const LoadedSkid& skid) {
  auto exercise = std::make_shared<Exercise>();
  exercise->name = "practice";
  exercise->title = "Free practice: " + skid.skid.title;
  exercise->aim = "Try the skid out; nothing is scored.";
  exercise->duration_s = std::min(86400.0, skid.skid.plant->longest_run_s());
  exercise->linger_s = 0;
  exercise->pass_score = 0;
  exercise->skid = skid.skid;
  exercise->expanded_skid = skid.expanded;
  return exercise;
}

LoadedExercise load_exercise(const Library& library, const std::string& name_or_path,
                             const std::optional<std::string>& operator_name, const std::vector<Override>& overrides) {
  const Library::Entry entry = library.find("exercise", name_or_path);
  Document document = Document::load(entry.file);
  document.require_kind("exercise", 1);
  Document skid_document = Document::load(find_at(library, document.root(), "skid", "skid").file);
  auto exercise = std::make_shared<Exercise>();
  exercise->name = entry.name;
  exercise->file = entry.file;

  // The operator's file is opened before the overrides, because they may be meant for it.
  std::optional<Document> sequence_document;
  std::string sequence_name;
  if (operator_name) {
    const Library::Entry found = pick_operator(library, document.root(), *operator_name, entry.name);
    sequence_name = found.name;
    sequence_document = Document::load(found.file);
  }
  apply_start(document.root(), skid_document);
  std::vector<Target> targets = {{"exercise", &document}, {"skid", &skid_document}};
  if (sequence_document) targets.push_back({"sequence", &*sequence_document});
  apply_overrides(overrides, targets);

  read_all(&library, document, skid_document, *exercise);

  LoadedExercise loaded;
  if (sequence_document)
    loaded.sequence =
        std::make_shared<const Sequence>(read_sequence(*sequence_document, sequence_name, exercise->skid));
  loaded.exercise = std::move(exercise);
  return loaded;
}

LoadedExercise load_texts(const ExerciseTexts& texts, const std::string& file) {
  Document skid_document = Document::parse_expanded(texts.skid, file + " (skid)");
  LoadedExercise loaded;
  if (texts.exercise.empty()) {
    loaded.exercise = practice_exercise(build(skid_document));
  } else {
    Document document = Document::parse_expanded(texts.exercise, file + " (exercise " + texts.name + ")");
    document.require_kind("exercise", 1);
    document.root().text("skid");
    apply_start(document.root(), skid_document);  // once more: the skid has these values already
    auto exercise = std::make_shared<Exercise>();
    exercise->name = texts.name;
    read_all(nullptr, document, skid_document, *exercise);
    loaded.exercise = std::move(exercise);
  }
  if (texts.sequence.empty()) return loaded;
  Document document = Document::parse_expanded(texts.sequence, file + " (sequence " + texts.sequence_name + ")");
  loaded.sequence =
      std::make_shared<const Sequence>(read_sequence(document, texts.sequence_name, loaded.exercise->skid));
  return loaded;
}

std::shared_ptr<const Sequence> load_operator(const Exercise& exercise, const OperatorEntry& entry) {
  const Document document = Document::load(entry.file);
  return std::make_shared<const Sequence>(read_sequence(document, entry.sequence, exercise.skid));
}

const LoadedSkid& SkidShelf::skid(const std::string& file) {
  const auto found = by_file_.find(file);
  if (found != by_file_.end()) return found->second;
  Document document = Document::load(file);
  return by_file_.emplace(file, build(document)).first->second;
}

LoadedSequence SkidShelf::sequence(const Library& library, const std::string& name_or_path,
                                   const std::optional<std::string>& skid_name) {
  const Library::Entry entry = library.find("sequence", name_or_path);
  const Document document = Document::load(entry.file);
  LoadedSequence loaded;
  loaded.skid = skid(skid_of(library, document, skid_name).file);
  loaded.sequence = std::make_shared<const Sequence>(read_sequence(document, entry.name, loaded.skid.skid));
  return loaded;
}

LoadedSequence load_sequence(const Library& library, const std::string& sequence,
                             const std::optional<std::string>& skid, const std::vector<Override>& overrides) {
  const Library::Entry entry = library.find("sequence", sequence);
  Document document = Document::load(entry.file);
  Document skid_document = Document::load(skid_of(library, document, skid).file);
  apply_overrides(overrides, {{"sequence", &document}, {"skid", &skid_document}});
  LoadedSequence loaded;
  loaded.skid = build(skid_document);
  loaded.sequence = std::make_shared<const Sequence>(read_sequence(document, entry.name, loaded.skid.skid));
  return loaded;
}

ExerciseHeading read_heading(const Library& library, const std::string& file) {
  const Document document = Document::load(file);
  document.require_kind("exercise", 1);
  return {document.root().text("title"), document.root().text("skid"), read_operators(&library, document.root())};
}

}  // namespace wetrun
