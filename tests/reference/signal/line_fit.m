% Lines through readings at uneven times, by GNU Octave's polyfit: what line_fit.csv holds. Run by hand:
%   octave-cli --no-gui line_fit.m > line_fit.csv
% Readings come from a formula in whole numbers, so that the test can make the same ones: case c, reading i:
%   time  0, then each 100 + mod(7919 * i * c, 31) * 30 ms later
%   value 150000 + 4 * i * c + mod(104729 * i * c + 13 * i * i, 601) - 300 thousandths of a degree
% Columns: case, readings, value at the newest reading and 1.75 s later (degrees), slope (degrees a second),
% noise gain of the value at the newest reading, of it 1.75 s later, and of the slope (1/s): roots of the
% diagonal of A * inv(X' * X) * A'.
format long
printf("case,readings,value,later,slope,value_noise,later_noise,slope_noise\n");
for c = 1:12
  n = 3 + 8 * c;
  t = zeros(n, 1);
  v = zeros(n, 1);
  for i = 0:n-1
    if i > 0
      t(i+1) = t(i) + 100 + mod(7919 * i * c, 31) * 30;
    end
    v(i+1) = 150000 + 4 * i * c + mod(104729 * i * c + 13 * i * i, 601) - 300;
  end
  s = (t - t(end)) / 1000;
  d = v / 1000;
  [p, S] = polyfit(s, d, 1);
  X = [ones(n, 1), s];
  C = inv(X' * X);
  gain = @(a) sqrt(a * C * a');
  printf("%d,%d,%.12f,%.12f,%.15f,%.13f,%.13f,%.13f\n", c, n, polyval(p, 0), polyval(p, 1.75), p(1), ...
         gain([1 0]), gain([1 1.75]), gain([0 1]));
end
