//! The help of the commands, as a person reads it on 80 columns.

use clap::CommandFactory;

use super::super::*;

fn help_of(names: &[&str]) -> String {
    let mut command = Cli::command().term_width(80);
    command.build();
    let mut command = &mut command;
    for name in names {
        command = command.find_subcommand_mut(name).unwrap();
    }
    let help = command.render_help().to_string();
    // The folders are the same everywhere, and belong to the service.
    help.split("\nFolders:")
        .next()
        .unwrap_or_default()
        .to_owned()
}

#[test]
fn help_begins_with_examples_and_lists_everything() {
    insta::assert_snapshot!(help_of(&[]), @r"
    Examples:
      tarehand rehearse                       try everything on a simulated scale
      tarehand check lagoon-round.toml        is this recipe good?
      tarehand mix lagoon-round.toml --make 250g
      tarehand log list                       what has been mixed

    A second pair of hands at the mixing bench

    Usage: tarehand [OPTIONS] <COMMAND>

    Commands:
      rehearse     Mix on a simulated scale, with a simulated hand
      mix          Make a batch, or go back to the one that runs
      page         Open the bench page for a browser, and let one in
      watch        Say what the scale says, one line a reading
      check        Check recipes and shelves
      size         Size a recipe for one jar
      plan         Say what a set of jars takes
      rescue       Put a slip right without a scale
      shelf        Show what is left on the shelf, and keep it
      share        Write a recipe, a set or a batch as a card to hand on
      label        Write labels for jars
      adopt        Take what was judged in a batch over into its recipe
      amend        Open finished jars again and add something to each
      join         Pour one finished jar into another
      take-out     Take some of the mix out of a finished jar
      repeat       Make a batch again
      scales       List the scales
      learnt       Show what the bench learnt from its record, and forget it
      log          Read the record of batches
      status       Show what the service is doing
      next         Go on: this step is done as it is
      back         Go back to the step before
      pause        Stop judging until resumed
      resume       Go on after a pause
      undo         Take back the last judgement or rescue
      skip         Leave this step out
      answer       Answer what is asked
      tared        Say that the scale's own tare was pressed: the jar never moved
      bottle       Weigh this step out of its bottle, with the jar beside the scale
      jar          Weigh this step in the jar again
      ran-out      Say that there is no more of what this step pours
      was-other    Say that what was poured last was another ingredient
      jar-is       Say which jar of the set stands on the pan
      trail        Write down a measured trail, or time it
      cup          Write down what a flow cup says
      remark       Write a remark into the record
      abort        Give the batch up
      stop         End the service
      completions  Write completions for a shell
      man          Write the manual

    Options:
      -h, --help     Print help (see more with '--help')
      -V, --version  Print version
    ");
    insta::assert_snapshot!(help_of(&["rehearse"]), @r"
    Examples:
      tarehand rehearse                     the studio's pearl blue, in a hurry
      tarehand rehearse --seed 7            the same run every time
      tarehand rehearse lagoon-round.toml --speed 5
      tarehand rehearse eight-rounds.toml  every jar of a set, the shorter way round

    Mix on a simulated scale, with a simulated hand

    Usage: tarehand rehearse [OPTIONS] [FILE]

    Arguments:
      [FILE]  The recipe or set file [default: a demo that is built in]

    Options:
          --walk <WALK>             In which order the jars of a set are mixed
                                    [default: shorter] [possible values: shorter,
                                    jar, bottle]
          --seed <N>                The same number gives the same run
          --speed <N>               How many times as fast as real time, 1 to 60
                                    [default: 20]
          --shelf <FILE>            The shelf [default: shelf.toml beside the
                                    recipe, else in the config folder]
          --quiet                   No bell when it is time to stop [env:
                                    TAREHAND_QUIET]
          --choose <CHOICE=OPTION>  Choose what the recipe leaves to choose, as in
                                    finish=glossy; say it once for each choice
                                    [default: the first option]
          --spoon <SPOON>           Which measuring spoons are meant [default: as
                                    the settings say] [possible values: metric, us,
                                    australian]
          --fluid-ounce <OUNCE>     Which fluid ounce is meant [default: as the
                                    settings say] [possible values: us, imperial]
      -h, --help                    Print help (see more with '--help')
    ");
    insta::assert_snapshot!(help_of(&["mix"]), @r#"
    Examples:
      tarehand mix lagoon-round.toml                as much as the recipe makes
      tarehand mix lagoon-round.toml --make 250g
      tarehand mix lagoon-round.toml --from lagoon-paste=30g --port /dev/ttyUSB0
      tarehand mix lagoon-round.toml --radio AA:BB:CC:00:11:22
      tarehand mix eight-rounds.toml --walk bottle  every jar of a set
      tarehand mix shore-glaze.toml --choose finish=matt
      tarehand mix lagoon-round.toml --fine-port /dev/ttyUSB1
      tarehand mix lagoon-round.toml --room "21 C, 45 %"
      tarehand mix lagoon-round.toml --hand noor    learns when to say stop to her
      tarehand mix                                  back to the batch that runs

    Make a batch, or go back to the one that runs

    Usage: tarehand mix [OPTIONS] [FILE]

    Arguments:
      [FILE]  The recipe or set file; without one, the batch that runs is shown

    Options:
          --walk <WALK>             In which order the jars of a set are mixed
                                    [default: shorter] [possible values: shorter,
                                    jar, bottle]
          --make <MASS>             Make so much in all: 250g, 0.25kg
          --from <INGREDIENT=MASS>  Make as much as this ingredient allows:
                                    soot-paste=30g
          --jar <VOLUME>            Make as much as fits into a jar: 200ml
          --port <PATH>             The port of the scale [default: the bench's,
                                    else the only one plugged in]
          --radio <ADDRESS|NAME>    A scale on Bluetooth, by its address or its
                                    name; kept for the bench
          --unit <UNIT>             The unit of a scale that sends bare numbers;
                                    kept for this scale
          --profile <FILE>          A scale profile; kept for this scale
          --bench <NAME>            The bench [default: bench]
          --fine-port <PATH>        The port of a second, finer scale for small
                                    additions; the bench keeps it
          --fine-unit <UNIT>        The unit of a finer scale that sends bare
                                    numbers; kept for this scale
          --fine-profile <FILE>     The profile of the finer scale; kept for this
                                    scale
          --shelf <FILE>            The shelf [default: shelf.toml beside the
                                    recipe, else in the config folder]
          --room <ROOM>             How warm and damp the room is, for the record,
                                    as in "21 C, 45 %"
          --hand <NAME>             Whose hand pours, where several people use the
                                    bench: when stop is said is learnt of each by
                                    itself
          --quiet                   No bell when it is time to stop [env:
                                    TAREHAND_QUIET]
          --choose <CHOICE=OPTION>  Choose what the recipe leaves to choose, as in
                                    finish=glossy; say it once for each choice
                                    [default: the first option]
          --spoon <SPOON>           Which measuring spoons are meant [default: as
                                    the settings say] [possible values: metric, us,
                                    australian]
          --fluid-ounce <OUNCE>     Which fluid ounce is meant [default: as the
                                    settings say] [possible values: us, imperial]
      -h, --help                    Print help (see more with '--help')
    "#);
    insta::assert_snapshot!(help_of(&["watch"]), @r"
    Examples:
      tarehand watch
      tarehand watch --port /dev/ttyUSB0 --unit g
      tarehand watch --count 100 --json > readings.jsonl
      tarehand watch --port /dev/ttyUSB0 --bytes --capture scale.jsonl

    Say what the scale says, one line a reading

    Usage: tarehand watch [OPTIONS]

    Options:
          --port <PATH>           The port of the scale [default: the bench's, else
                                  the only one plugged in]
          --radio <ADDRESS|NAME>  A scale on Bluetooth, by its address or its name;
                                  kept for the bench
          --unit <UNIT>           The unit of a scale that sends bare numbers; kept
                                  for this scale
          --profile <FILE>        A scale profile; kept for this scale
          --bench <NAME>          The bench [default: bench]
          --count <N>             End after so many readings, or so many lines of
                                  bytes
          --bytes                 Say the bytes as they arrive: nothing is tried to
                                  understand them
          --capture <FILE>        Write the bytes into a new file, which --port FILE
                                  plays back
          --json                  One JSON object a line
      -h, --help                  Print help
    ");
    insta::assert_snapshot!(help_of(&["scales", "teach"]), @r"
    Examples:
      tarehand scales teach --port /dev/ttyUSB0
      tarehand scales teach --line 2400-7E1 --capture lesson.jsonl
      tarehand scales teach --from lesson.jsonl -o window-scale.toml

    Learn how a scale speaks from known weights, and write its profile

    Usage: tarehand scales teach [OPTIONS]

    Options:
          --from <FILE>           Learn from a capture with its notes of the pan,
                                  without a scale; say it again for more of the same
                                  scale
          --port <PATH>           The port of the scale [default: the bench's, else
                                  the only one plugged in]
          --radio <ADDRESS|NAME>  A scale on Bluetooth, by its address or its name;
                                  kept for the bench
          --unit <UNIT>           The unit of a scale that sends bare numbers; kept
                                  for this scale
          --profile <FILE>        A scale profile; kept for this scale
          --bench <NAME>          The bench [default: bench]
          --line <SPEED>          How the serial line is opened, as in 2400 or
                                  2400-7E1 [default: 9600-8N1]
          --name <NAME>           What you call the scale
      -o, --output <FILE>         Write the profile into this new file [default:
                                  scales/NAME.toml in the config folder; with
                                  --from, say it]
          --capture <FILE>        Keep all that was heard in a new file, to teach
                                  from again or to send to someone who helps
          --json                  Answer in JSON
      -h, --help                  Print help
    ");
    insta::assert_snapshot!(help_of(&["learnt", "forget"]), @r"
    Examples:
      tarehand learnt forget drop
      tarehand learnt forget stop-lead chalk-white

    Let no run up to now count any more; the record stays as it is

    Usage: tarehand learnt forget [OPTIONS] <KIND> [INGREDIENT]

    Arguments:
      <KIND>        What to forget [possible values: stop-lead, drop, teaspoon,
                    tablespoon, thinner, stick, yield]
      [INGREDIENT]  Only of this ingredient by its key, or recipe by its name

    Options:
          --json  Answer in JSON
      -h, --help  Print help (see more with '--help')
    ");
    insta::assert_snapshot!(help_of(&["learnt"]), @r"
    Examples:
      tarehand learnt
      tarehand learnt forget stop-lead chalk-white
      tarehand learnt off stop-lead
      tarehand learnt on stop-lead

    Show what the bench learnt from its record, and forget it

    Usage: tarehand learnt [OPTIONS]
           tarehand learnt <COMMAND>

    Commands:
      forget  Let no run up to now count any more; the record stays as it is
      off     Do not use what was learnt; it is still shown
      on      Use what was learnt again

    Options:
          --json  Answer in JSON
      -h, --help  Print help (see more with '--help')
    ");
    insta::assert_snapshot!(help_of(&["label"]), @r#"
    Examples:
      tarehand label K7F2A -o k7f2a.pdf
      tarehand label K7F2A 8KER7 --first 5 -o labels.pdf        the first four of
      the sheet are used up
      tarehand label --set-of K7F2A --sheet jars.toml -o set.pdf
      tarehand label K7F2A --shares --best-before "12 weeks" -o k7f2a.svg

    Write labels for jars

    Usage: tarehand label [OPTIONS] [MARK]...

    Arguments:
      [MARK]...  The marks of the batches, as `log list` shows them

    Options:
          --set-of <MARK>       Every jar that was mixed in one run with this one
          --sheet <FILE>        The file that describes the sheet of labels
                                [default: as the settings say, else 24 of 70 x 37 mm
                                on A4]
          --first <N>           The first label of the sheet that is free, counted
                                along its rows [default: 1]
          --shares              Say shares in percent, not grams
          --best-before <DAYS>  How long a mix is good [default: as the settings
                                say, else only what packs say]
          --format <FORMAT>     The form [default: as the file's ending says, else
                                PDF] [possible values: pdf, svg]
      -o, --out <FILE>          Write it into this file [default: standard output]
          --yes                 Replace the file where there is one, without asking
      -h, --help                Print help (see more with '--help')
    "#);
    insta::assert_snapshot!(help_of(&["log", "export"]), @r"
    Examples:
      tarehand log export --format csv > batches.csv
      tarehand log export --format json K7F2A
      tarehand log export --format html --find lagoon > lagoon.html

    Write batches out for other programs

    Usage: tarehand log export [OPTIONS] --format <FORMAT> [MARK]...

    Arguments:
      [MARK]...  Only these batches [default: all]

    Options:
          --format <FORMAT>  The form: a JSON array of whole batches, a CSV line for
                             each ingredient of each batch, or one HTML page that
                             needs nothing else [possible values: json, csv, html]
          --find <TEXT>      Only those in whose mark, recipe, ingredients, lots or
                             remarks this is found
          --with <THING>     Only those with an ingredient or a lot called so, or so
                             in part
          --from <DATE>      Only those opened on this day or later (UTC)
          --until <DATE>     Only those opened before this day (UTC)
      -h, --help             Print help
    ");
}

#[test]
fn the_exit_codes_are_in_the_help() {
    let help = Cli::command().render_long_help().to_string();
    for code in ["  0   ", "  1   ", "  2   ", "  69  ", "  75  ", "  78  "] {
        assert!(help.contains(code), "{help}");
    }
}

#[test]
fn the_long_help_of_a_command_says_all_that_is_written_of_it() {
    for (words, said) in [
        (
            &["rehearse"][..],
            "Rests of more than two minutes pass at once",
        ),
        (
            &["log", "import"],
            "one that was changed on the way is refused",
        ),
    ] {
        let mut command = Cli::command();
        command.build();
        let of = words.iter().fold(&mut command, |command, word| {
            command.find_subcommand_mut(word).unwrap()
        });
        let help = of.render_long_help().to_string();
        let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(help.contains(said), "{help}");
    }
}
