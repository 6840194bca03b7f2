/** The package, loaded when it is first asked for. */
export declare function fontkit(): typeof import('fontkit');
