declare const brand: unique symbol;

/**
 * A text that the compiler tells apart from any other text: whoever has one got it where such names are made or checked.
 * It is an ordinary string when it runs.
 */
export type Branded<Name extends string> = string & { readonly [brand]: Name };
