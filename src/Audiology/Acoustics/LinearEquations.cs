namespace TeleHearing.Audiology.Acoustics;

/// <summary>Small systems of linear equations, by elimination with row pivots.</summary>
internal static class LinearEquations
{
    /// <summary>Solves rows * x = right; both are overwritten.</summary>
    public static double[] Solve(double[][] rows, double[] right)
    {
        var size = right.Length;
        for (var column = 0; column < size; column++)
        {
            var pivot = Enumerable.Range(column, size - column).MaxBy(row => Math.Abs(rows[row][column]));
            (rows[column], rows[pivot]) = (rows[pivot], rows[column]);
            (right[column], right[pivot]) = (right[pivot], right[column]);
            for (var row = column + 1; row < size; row++)
            {
                var factor = rows[row][column] / rows[column][column];
                for (var k = column; k < size; k++)
                {
                    rows[row][k] -= factor * rows[column][k];
                }

                right[row] -= factor * right[column];
            }
        }

        for (var row = size - 1; row >= 0; row--)
        {
            for (var k = row + 1; k < size; k++)
            {
                right[row] -= rows[row][k] * right[k];
            }

            right[row] /= rows[row][row];
        }

        return right;
    }
}
