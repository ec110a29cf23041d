//! Digits that can be read from two metres.

/// Rows of a big digit.
pub(crate) const ROWS: usize = 5;

/// Returns the rows of a text in big letters, `#` for solid cells; a letter without a picture is left out.
pub(crate) fn big(text: &str) -> [String; ROWS] {
    let mut rows: [String; ROWS] = Default::default();
    for letter in text.chars() {
        let Some(picture) = picture(letter) else {
            continue;
        };
        for (row, cells) in rows.iter_mut().zip(picture) {
            if !row.is_empty() {
                row.push(' ');
            }
            row.push_str(cells);
        }
    }
    rows
}

/// Returns the rows twice as high and twice as wide.
pub(crate) fn doubled(rows: &[String]) -> Vec<String> {
    let wide = rows
        .iter()
        .map(|row| row.chars().flat_map(|cell| [cell, cell]).collect());
    wide.flat_map(|row: String| [row.clone(), row]).collect()
}

const fn picture(letter: char) -> Option<[&'static str; ROWS]> {
    Some(match letter {
        '0' => [" #### ", "##  ##", "##  ##", "##  ##", " #### "],
        '1' => ["  ##  ", " ###  ", "  ##  ", "  ##  ", " #### "],
        '2' => ["##### ", "    ##", " #### ", "##    ", "######"],
        '3' => ["##### ", "    ##", "  ### ", "    ##", "##### "],
        '4' => ["##  ##", "##  ##", "######", "    ##", "    ##"],
        '5' => ["######", "##    ", "##### ", "    ##", "##### "],
        '6' => [" #### ", "##    ", "##### ", "##  ##", " #### "],
        '7' => ["######", "    ##", "   ## ", "  ##  ", "  ##  "],
        '8' => [" #### ", "##  ##", " #### ", "##  ##", " #### "],
        '9' => [" #### ", "##  ##", " #####", "    ##", " #### "],
        '.' => ["  ", "  ", "  ", "  ", "##"],
        ':' => ["  ", "##", "  ", "##", "  "],
        '+' => ["      ", "  ##  ", "######", "  ##  ", "      "],
        '-' | '–' => ["      ", "      ", "######", "      ", "      "],
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_picture_is_as_wide_in_every_row() {
        for letter in "0123456789.:+-–".chars() {
            let picture = picture(letter).unwrap();
            assert!(
                picture.iter().all(|row| row.len() == picture[0].len()),
                "{letter}"
            );
        }
    }

    #[test]
    fn no_two_digits_look_alike() {
        let pictures: Vec<_> = "0123456789".chars().map(picture).collect();
        for (index, one) in pictures.iter().enumerate() {
            assert!(!pictures[..index].contains(one), "{index}");
        }
    }

    #[test]
    fn a_number_is_drawn_digit_by_digit() {
        insta::assert_snapshot!(big("+12.7").join("\n"), @r"
                 ##   #####     ######
          ##    ###       ##        ##
        ######   ##    ####        ## 
          ##     ##   ##          ##  
                ####  ###### ##   ##
        ");
    }
}
